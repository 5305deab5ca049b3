"""A temperature whose owner the heading does not say is named, and kept for whoever judges it."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from tests.unit.trace.flights import TIME_S, flight, heading_of

WARM = 30.0 + 1.6 * TIME_S
CHANNEL = "controller_temperature_c"
BOTH = (CHANNEL, "motor_temperature_c")


@pytest.mark.parametrize("heading", ["ESC1 temperature (°C)", "ESC1 temp C", "FET2 temp", "esc_1_temp"])
def test_a_running_number_does_not_hide_the_controller(heading: str, tmp_path: Path) -> None:
    assert heading_of(flight(tmp_path, last={heading: WARM}), CHANNEL) == heading


@pytest.mark.parametrize("heading", ["MCU temp (°C)", "XYZ temperature [°C]"])
def test_a_temperature_of_nobody_is_told_and_noted(heading: str, tmp_path: Path) -> None:
    trace = flight(tmp_path, last={heading: WARM})
    assert not trace.has(CHANNEL)
    assert [(one.channel, one.heading) for one in trace.unread] == [(CHANNEL, heading)]
    assert any("does not say whose temperature it is" in word for word in trace.warnings)


@pytest.mark.parametrize(("meaning", "has"), [("ignore", False), (CHANNEL, True)])
def test_a_word_about_it_is_the_end_of_it(meaning: str, has: bool, tmp_path: Path) -> None:
    flight(tmp_path, last={"MCU temp (°C)": WARM})
    trace = read_trace(tmp_path / "log.csv", mapping={"MCU temp (°C)": meaning}, remember=False)
    assert trace.has(CHANNEL) is has
    assert not trace.unread
    assert not any("MCU" in word for word in trace.warnings)


@pytest.mark.parametrize("heading", ["GPS temp (°C)", "outside temperature (°C)", "receiver temp (°C)", "acc F"])
def test_a_temperature_of_something_else_is_no_matter(heading: str, tmp_path: Path) -> None:
    assert not flight(tmp_path, last={heading: WARM}).unread


@pytest.mark.parametrize(
    "columns",
    [
        {"ESC max temperature (°C)": WARM},
        {"ESC temperature": WARM + 273.15},
        {"ESC1 temp (°C)": WARM, "ESC2 temp (°C)": np.flip(WARM)},
        {"controller temperature (%)": WARM},
        {"controller temperature (gr)": WARM},
        {"controller temperature (x)": WARM},
        {"controller temperature (mV)": WARM},
        {"controller temperature (K)": WARM},
        {"controller temperature": 1.8 * WARM + 32.0},
    ],
    ids=[
        "a highest value",
        "kelvin without a unit",
        "two that differ",
        "a share",
        "an unknown unit",
        "a factor",
        "a voltage",
        "kelvin that cannot be",
        "fahrenheit without a unit",
    ],
)
def test_a_controller_that_is_left_out_is_noted(columns: dict[str, np.ndarray], tmp_path: Path) -> None:
    trace = flight(tmp_path, last=columns)
    assert [one.heading for one in trace.unread] == list(columns)


@pytest.mark.parametrize("unit", ["Cel", "°C", "øC", "oC", "o C"])
def test_other_spellings_of_degrees_celsius_are_read(unit: str, tmp_path: Path) -> None:
    trace = flight(tmp_path, last={f"controller temperature ({unit})": WARM})
    assert trace.channels[CHANNEL] == pytest.approx(WARM, abs=0.001)
    assert not trace.unread


def test_two_temperatures_of_nobody_may_be_the_motors_too(tmp_path: Path) -> None:
    for headings in (("TEMP1[C]", "TEMP2[C]"), ("변속기 온도 (°C)", "모터 온도 (°C)")):
        trace = flight(tmp_path, last=dict(zip(headings, (WARM, np.flip(WARM)), strict=True)))
        told = {channel: {one.heading for one in trace.unread if one.channel == channel} for channel in BOTH}
        assert told == {channel: set(headings) for channel in BOTH}


def test_a_temperature_without_a_unit_that_begins_as_air_does_is_celsius(tmp_path: Path) -> None:
    assert flight(tmp_path, last={"controller temperature": WARM}).channels[CHANNEL] == pytest.approx(WARM, abs=0.001)
