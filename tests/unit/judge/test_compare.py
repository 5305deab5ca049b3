"""Before and after a change: what changed is said, what did not is not, and what else could have done it is named."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from steadyhead.judge.compare import OTHER_SPEED, compare
from steadyhead.judge.compare_figures import AIR
from steadyhead.judge.compare_result import Change, Comparison, Condition, Said
from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.machine.reading import machine_from_text
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import GIVEN, MACHINE
from tests.recorded import ALL, flight, trace_of

MOVED = (Said.BETTER, Said.WORSE, Said.CHANGED)


@lru_cache
def logs(drive: tuple[tuple[str, float], ...] = (), seeds: tuple[int, ...] = (1, 2, 3)) -> tuple[Judgement, ...]:
    flights = [fly(Drive(**dict(drive)), flight(), seed=seed) for seed in seeds]  # type: ignore[arg-type]
    return tuple(judge(MACHINE, trace_of(one)) for one in flights)


def change_of(told: Comparison, figure: str, set_rpm: float | None = None) -> Change:
    found = [c for c in told.changes if c.figure == figure]
    if set_rpm is not None:
        found = [c for c in found if c.set_rpm is not None and abs(c.set_rpm - set_rpm) < 50.0]
    (one,) = found
    return one


def test_the_same_drive_on_two_days_has_not_changed() -> None:
    told = compare(MACHINE, logs(), logs(seeds=(4, 5, 6)))
    assert [c for c in told.changes if c.said in MOVED] == []
    assert told.verdict is Outcome.UNKNOWN
    assert told.reasons == ("no figure became better or worse beyond noise",)
    assert any(c.said is Said.NOISE for c in told.changes)


def test_a_worn_pack_shows_as_a_higher_resistance_with_the_true_change_in_its_interval() -> None:
    told = compare(MACHINE, logs(), logs((("pack_resistance", 0.045),), seeds=(4, 5, 6)))
    resistance = change_of(told, "pack_resistance_mohm")
    assert resistance.said is Said.WORSE
    assert resistance.counted == "flights"
    assert resistance.change == pytest.approx(15.0, abs=1.5)
    assert told.verdict is Outcome.FAIL
    assert any("pack resistance" in reason for reason in told.reasons)


def test_a_stiffer_governor_shows_as_a_smaller_dip() -> None:
    told = compare(MACHINE, logs((("kp", 0.7),)), logs())
    dips = [c for c in told.changes if c.figure == "undershoot_percent" and c.change is not None]
    assert dips
    assert all(c.said is Said.BETTER for c in dips)
    assert all((c.change or 0.0) < -0.5 for c in dips)


def test_another_head_speed_is_named_as_a_cause_of_everything_at_that_mode() -> None:
    told = compare(MACHINE, logs(), logs((("rpm_at_zero", 690.0),), seeds=(4, 5, 6)))
    speed = change_of(told, "head_speed_rpm", 1990.0)
    assert speed.said is Said.CHANGED
    assert speed.change == pytest.approx(100.0, abs=3.0)
    power = change_of(told, "hover_power_w", 1990.0)
    assert power.said is Said.WORSE
    assert OTHER_SPEED in power.could_be


def test_the_air_is_a_cause_unless_it_is_known_to_be_alike() -> None:
    worn = logs((("rpm_at_zero", 690.0),), seeds=(4, 5, 6))
    unknown = change_of(compare(MACHINE, logs(), worn), "hover_power_w", 1990.0)
    alike = change_of(compare(MACHINE, logs(), worn, (1.2, 1.2)), "hover_power_w", 1990.0)
    differs = compare(MACHINE, logs(), worn, (1.2, 1.1))
    assert AIR in unknown.could_be
    assert AIR not in alike.could_be
    assert AIR in change_of(differs, "hover_power_w", 1990.0).could_be
    assert next(c for c in differs.conditions if c.condition == AIR).differs is True


def with_air(judged: Judgement, hpa: float, celsius: float) -> Judgement:
    rows = np.full(judged.trace.time_s.size, 1.0)
    channels = {**judged.trace.channels, "air_pressure_hpa": hpa * rows, "air_temperature_c": celsius * rows}
    return replace(judged, trace=replace(judged.trace, channels=channels))


def test_the_air_is_read_from_the_logs_and_what_is_stated_goes_before_it() -> None:
    cold = [with_air(one, 1013.25, 15.0) for one in logs(seeds=(1, 2))]
    warm = [with_air(one, 1013.25, 35.0) for one in logs(seeds=(4, 5))]
    air = next(c for c in compare(MACHINE, cold, warm).conditions if c.condition == AIR)
    # ISO 2533:1975: 1.225 kg/m3 at 1013.25 hPa and 15 °C; the gas law takes it to 35 °C.
    assert air.before == pytest.approx(1.225, rel=1e-4)
    assert air.after == pytest.approx(1.225 * 288.15 / 308.15, rel=1e-4)
    assert air.differs is True
    assert "before: air pressure and temperature of the logs" in air.origin
    stated = next(c for c in compare(MACHINE, cold, warm, (None, 1.225)).conditions if c.condition == AIR)
    assert stated.differs is False
    assert "after: stated" in stated.origin
    half = next(c for c in compare(MACHINE, cold, logs(seeds=(4, 5))).conditions if c.condition == AIR)
    assert (half.after, half.differs) == (None, None)


TEXT = machine_text(GIVEN)
AT_1000_M = f'{TEXT[: TEXT.index("[site]")]}[site]\nelevation = "1000 m"\ntemperature = "15 degC"\n'
SITE = machine_from_text(AT_1000_M, "high.toml")


def with_temperature(judged: Judgement, celsius: float) -> Judgement:
    channels = {**judged.trace.channels, "air_temperature_c": np.full(judged.trace.time_s.size, celsius)}
    return replace(judged, trace=replace(judged.trace, channels=channels))


def air_of(*sides, machine=SITE) -> Condition:
    return next(c for c in compare(machine, *sides).conditions if c.condition == AIR)


def test_without_a_pressure_the_air_is_that_of_the_site_and_never_said_to_be_alike() -> None:
    days = logs(seeds=(1, 2)), logs(seeds=(4, 5))
    alone = air_of(*days)
    # ISO 2533:1975, table: 898.76 hPa at 1000 m, and 1.0866 kg/m3 there at 15 °C by the gas law.
    assert alone.before == pytest.approx(89876.0 / (287.05287 * 288.15), rel=1e-4)
    assert alone.differs is None
    assert alone.origin.count("the site in the machine file") == 2
    warm = air_of([with_temperature(one, 0.0) for one in days[0]], [with_temperature(one, 35.0) for one in days[1]])
    assert warm.before == pytest.approx(89876.0 / (287.05287 * 273.15), rel=1e-4)
    assert warm.differs is True
    alike = air_of(*([with_temperature(one, 20.0) for one in side] for side in days))
    assert (alike.before, alike.differs) == (alike.after, None)
    assert "temperature of the logs" in alike.origin
    half = air_of([with_air(one, 1013.25, 15.0) for one in days[0]], days[1])
    assert half.differs is None
    assert half.origin.startswith("before: air pressure and temperature of the logs; after: the site")


def test_single_flights_are_compared_by_their_windows_and_that_is_said() -> None:
    told = compare(MACHINE, logs(seeds=(1,)), logs((("rpm_at_zero", 690.0),), seeds=(4,)))
    speed = change_of(told, "head_speed_rpm", 1990.0)
    assert speed.counted == "windows and loads"
    assert speed.said is Said.CHANGED
    assert "one flight before the change: what differs from day to day is not in the noise" in told.warnings


def test_what_only_one_side_shows_cannot_be_told() -> None:
    blind = judge(MACHINE, trace_of(fly(Drive(), flight()), keep=tuple(name for name in ALL if name != "amp")))
    told = compare(MACHINE, [blind], logs())
    resistance = change_of(told, "pack_resistance_mohm")
    assert resistance.said is Said.UNTOLD
    assert resistance.reason == "only the logs after show it"
    assert resistance.change is None


def test_before_and_after_swapped_gives_the_opposite_change() -> None:
    worn = logs((("pack_resistance", 0.045),), seeds=(4, 5, 6))
    there = {(c.figure, c.set_rpm): c for c in compare(MACHINE, logs(), worn).changes}
    opposite = {Said.BETTER: Said.WORSE, Said.WORSE: Said.BETTER}
    for back in compare(MACHINE, worn, logs()).changes:
        one = next(c for c in there.values() if c.figure == back.figure and c.set_rpm_after == back.set_rpm)
        assert back.said is opposite.get(one.said, one.said)
        if one.change is not None and back.change is not None:
            assert np.isclose(one.change, -back.change)
