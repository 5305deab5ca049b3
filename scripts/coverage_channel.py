"""Coverage of the intervals of `channel`: true set-point laws read with honest, and with less honest, errors."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from coverage_draws import MACHINES, Law, owner, skewed, true_laws

from steadyhead.channel.answer import channel
from steadyhead.channel.machine_setting import channel_setting
from steadyhead.channel.pulse import landed_percent, step_percent
from steadyhead.channel.reading_doubt import READING_DOUBT, Z90
from steadyhead.channel.result import ChannelAnswer, Reading
from steadyhead.channel.thresholds import start_delay_s
from steadyhead.machine.description import Machine
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome

SPREAD = 0.004
"""Stated half width of a reading, share of it."""
PLACES = ((40.0, 60.0, 80.0, 95.0), (45.0, 70.0, 95.0), (35.0, 50.0, 65.0, 80.0, 95.0))
"""Where the owner reads; each draw takes one of these."""
SHARED = 0.5
"""Correlation of the errors of all readings of one bench session in the correlated case."""


def _normal(random: np.random.Generator, count: int) -> np.ndarray:
    return random.standard_normal(count) / Z90


def _skewed(random: np.random.Generator, count: int) -> np.ndarray:
    return skewed(random, (count,))


def _shared(random: np.random.Generator, count: int) -> np.ndarray:
    common, own = random.standard_normal(), random.standard_normal(count)
    return (math.sqrt(SHARED) * common + math.sqrt(1.0 - SHARED) * own) / Z90


def _twice(random: np.random.Generator, count: int) -> np.ndarray:
    return 2.0 * _normal(random, count)


ERRORS: dict[str, tuple[Callable[[np.random.Generator, int], np.ndarray], bool]] = {
    "as stated": (_normal, True),
    "no spread stated": (_normal, False),
    "skewed": (_skewed, True),
    "correlated": (_shared, True),
    "twice as wide as stated": (_twice, True),
}
"""How the errors of readings are drawn, in half widths, and whether the owner states the half width."""


def channel_counts(counts: dict, draws: int) -> None:
    """Count for `channel`."""
    for name in MACHINES:
        for case in ERRORS if name == "fox600" else ("as stated",):
            _laws(counts, name, case, draws)
        _start_delays(counts, name, draws)


def _laws(counts: dict, name: str, case: str, draws: int) -> None:
    machine = _without_readings(owner(name))
    top_rpm = 1.12 * max(mode.head_speed.si for mode in machine.flight_mode) * 30.0 / math.pi
    for law in true_laws(top_rpm):
        random = np.random.default_rng(2028)
        for _ in range(draws):
            try:
                answer = channel(machine, _read(random, law, machine, case))
            except InputError:
                continue
            _count(counts, (name, case), law, machine, answer)


def _read(random: np.random.Generator, law: Law, machine: Machine, case: str) -> list[Reading]:
    draw, stated = ERRORS[case]
    places = PLACES[int(random.integers(len(PLACES)))]
    pulse = channel_setting(machine).pulse
    true = np.array([law.rpm(landed_percent(pulse, percent)) for percent in places])
    half = (SPREAD if stated else READING_DOUBT) * true
    read = np.round(true + half * draw(random, len(places)))
    return [
        Reading(percent=percent, head_speed_rpm=float(rpm), spread_rpm=float(h) if stated else 0.0, source="drawn")
        for percent, rpm, h in zip(places, read, half, strict=True)
    ]


def _count(counts: dict, which: tuple[str, str], law: Law, machine: Machine, answer: ChannelAnswer) -> None:
    from interval_coverage import put

    straight = not (law.bow_share or law.floor_rpm or math.isfinite(law.ceiling_rpm))
    if straight:
        found = answer.law
        zero = -law.level_rpm / law.slope_rpm_per_percent
        put(counts, (*which, "slope"), law.name, found.slope_rpm_per_percent_interval, law.slope_rpm_per_percent)
        put(counts, (*which, "zero of the law"), law.name, found.zero_percent_interval, zero)
    for mode in answer.modes:
        if mode.curve_percent is None:
            continue
        true = law.rpm(mode.curve_percent)
        sure = "called pass" if mode.verdict is Outcome.PASS else "called unknown"
        put(counts, (*which, f"expected head speed, law {law.name}, {sure}"), "", mode.expected_rpm_interval, true)


def _without_readings(machine: Machine) -> Machine:
    return machine.model_copy(update={"reading": ()})


def _start_delays(counts: dict, name: str, draws: int) -> None:
    """Count the start delay, with threshold (±1 point) and ramp rate (±10 %) as far off as stated; invented doubts."""
    from interval_coverage import put

    machine = owner(name)
    doubts = {"channel.start": 0.01, "channel.ramp_rate": 0.1 * machine.value("channel.ramp_rate").si}
    machine = machine.filled({key: replace(machine.value(key), spread_si=half) for key, half in doubts.items()})
    setting = channel_setting(machine)
    start, rate, hold = setting.start_percent, setting.ramp_rate_percent_s, setting.hold_percent
    if start is None or rate is None or hold is None:
        return
    told = channel(machine).thresholds.start_delay_s_interval
    random = np.random.default_rng(2029)
    step = step_percent(setting.pulse, start.figure)
    for _ in range(draws):
        off = _normal(random, 2)
        true = start_delay_s(
            start.figure + start.spread * off[0], landed_percent(setting.pulse, hold),
            rate.figure + rate.spread * off[1], step,
        )  # fmt: skip
        put(counts, (name, "as stated", "start delay"), "", told, true)
