"""Quantisation of a throttle channel, exact arithmetic: tests/data/channel/servo_quantisation_cases.csv.

Computed there. Span 1000 us = 1000..2000 us = 0..100 %. Read: each row's printed figures against our functions.
"""

import math

import pytest

from steadyhead.channel.pulse import (
    Pulse,
    landed_percent,
    speed_per_step,
    step_of_counter_us,
    step_of_levels_us,
    step_percent,
)
from tests.agrees import agrees
from tests.channel_rows import channel_rows

SPAN_US, MOTOR_RPM, RATIO = 1000.0, 25000.0, 10.0
ROWS = channel_rows("servo_quantisation_cases.csv")
PRINTED = "the table prints the figure with this many decimals and no more"


def last_digit_percent(printed: str) -> float:
    return 100.0 * 0.501 * 10.0 ** -len(printed.partition(".")[2]) / abs(float(printed))


def step_us(row: dict[str, str]) -> float:
    case = row["case"]
    if row["levels_or_tick"] != "tick":
        return step_of_levels_us(SPAN_US, int(row["levels_or_tick"]))
    if "at" in case.split():
        return step_of_counter_us(float(case.split()[-2]), int(case.split("-")[0]))
    return float(case.split()[0])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_a_step_is_the_published_width(row: dict[str, str]) -> None:
    assert agrees(step_us(row), float(row["step_us"]), percent=last_digit_percent(row["step_us"]), because=PRINTED)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_a_step_is_the_published_percent_and_speed(row: dict[str, str]) -> None:
    pulse = Pulse(low_us=1000.0, high_us=1000.0 + SPAN_US, step_us=step_us(row))
    percent = step_percent(pulse)
    motor = speed_per_step(percent, MOTOR_RPM)
    for got, column in (
        (percent, "step_percent"),
        (motor, "speed_step_at_25000_motor_rev_per_min"),
        (motor / RATIO, "main_rotor_step_at_ratio_10"),
    ):
        assert agrees(got, float(row[column]), percent=last_digit_percent(row[column]), because=PRINTED)


@pytest.mark.parametrize("row", [row for row in ROWS if row["levels_or_tick"] != "tick"], ids=lambda row: row["case"])
def test_a_channel_of_that_many_codes_reaches_exactly_that_many_positions(row: dict[str, str]) -> None:
    levels = int(row["levels_or_tick"])
    pulse = Pulse(low_us=1000.0, high_us=1000.0 + SPAN_US, step_us=step_of_levels_us(SPAN_US, levels))
    reached = {round(landed_percent(pulse, 100.0 * i / (4 * levels)), 6) for i in range(4 * levels + 1)}
    assert len(reached) == levels
    assert math.isclose(max(reached), 100.0)
