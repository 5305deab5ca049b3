"""Before and after a change: what changed is said, what did not is not, and what else could have done it is named."""

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from steadyhead.judge.compare import OTHER_MACHINE, OTHER_SPEED, SAME_LOG, compare
from steadyhead.judge.compare_figures import (
    AIR,
    AT_HEAD,
    CLIMB_LOAD,
    CLIMB_PITCH,
    LAG,
    NOISE,
    PACK_HEAT,
    PITCH_SEEN,
    ROWS,
)
from steadyhead.judge.compare_noise import made_by_noise
from steadyhead.judge.compare_result import MOVED, Change, Comparison, Condition, Said
from steadyhead.judge.compare_unknown import load_could_do_it
from steadyhead.judge.judging import judge
from steadyhead.judge.other_machine import MISFIT
from steadyhead.judge.result import Heat, Judgement
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.simulated import NO_EVIDENCE
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text
from tests.naive.drive_log import Drive, fly
from tests.noisy_flight import low_passed
from tests.property.test_judge_any_trace import GIVEN, MACHINE
from tests.recorded import ALL, flight, trace_of


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
    worn = [at_pack(one, 27.0) for one in logs((("pack_resistance", 0.045),), seeds=(4, 5, 6))]
    told = compare(MACHINE, [at_pack(one, 27.0) for one in logs()], worn)
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
    assert power.said is Said.CHANGED
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


SOFT = (("kp", 0.7),)
READ = (ColumnRead(channel="head_speed_rpm", heading="rpm", confidence="named"),)
"""A log that was read knows of what columns; the speed of one without any is taken as simulated, without a sensor."""


def with_speed(trace: Trace, name: str, lag_s: float = 0.0) -> Trace:
    channels = {key: column for key, column in trace.channels.items() if not key.endswith("speed_rpm")}
    speed = low_passed(trace.time_s, trace.channels[name], lag_s)
    return replace(trace, channels={**channels, name: speed}, columns=READ)


def at_the_head(trace: Trace) -> Trace:
    return with_speed(trace, "head_speed_rpm")


def at_the_motor(trace: Trace) -> Trace:
    return with_speed(trace, "motor_side_speed_rpm")


def slow_sensor(trace: Trace) -> Trace:
    return with_speed(trace, "head_speed_rpm", 0.25)


def every_fifth(trace: Trace) -> Trace:
    channels = {name: values[::5] for name, values in at_the_head(trace).channels.items()}
    rows = trace.time_s[::5]
    return replace(trace, time_s=rows, channels=channels, rows_read=rows.size, row=np.arange(rows.size), columns=READ)


@pytest.mark.parametrize(("how", "named"), [(at_the_motor, AT_HEAD), (every_fifth, ROWS), (slow_sensor, LAG)])
def test_logs_taken_in_another_way_tell_nothing_of_the_machine(how: Callable[[Trace], Trace], named: str) -> None:
    before = [judge(MACHINE, at_the_head(one.trace)) for one in logs()]
    told = compare(MACHINE, before, [judge(MACHINE, how(one.trace)) for one in logs(SOFT, seeds=(4, 5, 6))])
    assert next(one for one in told.conditions if one.condition == named).differs is True
    dips = [one for one in told.changes if one.figure == "undershoot_percent" and one.could_be]
    assert dips
    for one in dips:
        assert one.said is Said.UNTOLD
        assert named in one.could_be
        assert "not logged alike" in one.reason


def noisier(trace: Trace, more_rpm: float) -> Trace:
    """Return a log by a speed sensor that is noisier by so much."""
    seen = at_the_head(trace)
    speed = seen.channels["head_speed_rpm"]
    noise = np.random.default_rng(trace.rows_read).normal(0.0, more_rpm, speed.size)
    return replace(seen, channels={**seen.channels, "head_speed_rpm": speed + noise})


def test_a_noisier_speed_sensor_is_no_worse_machine() -> None:
    before = [judge(MACHINE, at_the_head(one.trace)) for one in logs()]
    after = [judge(MACHINE, noisier(one.trace, 8.0)) for one in logs(seeds=(4, 5, 6))]
    told = compare(MACHINE, before, after)
    assert next(one for one in told.conditions if one.condition == NOISE).differs is True
    assert told.verdict is not Outcome.FAIL, told.reasons
    bands = [one for one in told.changes if one.figure == "steady_band_percent" and one.could_be]
    assert bands
    assert all(one.said is Said.UNTOLD and NOISE in one.could_be for one in bands)


@pytest.mark.parametrize(("change", "made"), [(0.5, True), (3.0, False), (-0.5, False)])
def test_noise_makes_only_so_much_and_only_worse(change: float, made: bool) -> None:
    one = Change(
        figure="steady_band_percent", unit="%", set_rpm=2000.0, set_rpm_after=2000.0, before=0.3, after=0.3 + change,
        before_count=5, after_count=5, counted="flights", change=change, change_interval=(change - 0.1, change + 0.1),
        chance=0.0, said=Said.WORSE, reason="",
    )  # fmt: skip
    conditions = tuple(
        Condition(condition=name, unit="", before=before, after=after, differs=name == NOISE, reason="")
        for name, before, after in ((NOISE, 0.1, 0.3), (ROWS, 0.02, 0.02))
    )
    assert made_by_noise(one, conditions) is made
    line = replace(one, figure="hunting_percent", change=0.05 if made else change)
    assert made_by_noise(replace(line, change_interval=None), conditions) is made


@pytest.mark.parametrize(("change", "made"), [(-0.5, True), (0.5, True), (3.0, False)])
def test_noise_ends_a_soft_start_a_little_sooner_or_later(change: float, made: bool) -> None:
    one = Change(
        figure="soft_start_s", unit="s", set_rpm=1750.0, set_rpm_after=1750.0, before=13.0, after=13.0 + change,
        before_count=3, after_count=3, counted="flights", change=change, change_interval=(change - 0.1, change + 0.1),
        chance=0.0, said=Said.CHANGED, reason="",
    )  # fmt: skip
    conditions = tuple(
        Condition(condition=name, unit="", before=before, after=after, differs=name == NOISE, reason="")
        for name, before, after in ((NOISE, 0.1, 0.3), (ROWS, 0.02, 0.02))
    )
    assert made_by_noise(one, conditions) is made


def test_what_is_not_said_to_have_changed_always_says_why() -> None:
    told = compare(MACHINE, logs(seeds=(1, 2)), logs((("kp", 1.2),), seeds=(4, 5)))
    few = [one for one in told.changes if one.said is Said.FEW]
    assert all(one.reason for one in told.changes if one.said not in MOVED)
    assert few
    for one in few:
        assert one.change_interval is not None
        assert one.change_interval[0] * one.change_interval[1] > 0.0
        assert any(one.figure.replace("_", " ") in reason for reason in told.reasons)


def test_climbs_at_another_pitch_are_no_better_governor() -> None:
    story = flight()
    gentle = [(at, 8.0 if pitch == 11.0 else pitch, up) for at, pitch, up in story.collective]
    after = [judge(MACHINE, trace_of(fly(Drive(), replace(story, collective=gentle), seed=seed))) for seed in (4, 5, 6)]
    told = compare(MACHINE, logs(), after)
    dip = next(one for one in told.changes if one.figure == "undershoot_percent" and one.said in MOVED)
    assert dip.said is Said.CHANGED
    assert dip.could_be[0] == CLIMB_PITCH
    assert told.verdict is Outcome.UNKNOWN
    assert any(CLIMB_PITCH in reason for reason in told.reasons)


@pytest.mark.parametrize(
    ("after_w", "change", "explains"),
    [(2200.0, 0.6, True), (2200.0, 3.0, False), (1800.0, 0.6, False), (1800.0, -0.6, True), (2200.0, -0.6, False)],
)
def test_harder_climbs_explain_a_deeper_dip_but_not_any(after_w: float, change: float, explains: bool) -> None:
    one = Change(
        figure="undershoot_percent", unit="%", set_rpm=2000.0, set_rpm_after=2000.0, before=2.0, after=2.0 + change,
        before_count=5, after_count=5, counted="flights", change=change, change_interval=(change - 0.3, change + 0.3),
        chance=0.0, said=Said.WORSE, reason="",
    )  # fmt: skip
    load = Condition(condition=CLIMB_LOAD, unit="W", before=2000.0, after=after_w, differs=True, reason="")
    assert load_could_do_it(one, load) is explains
    least = replace(one, figure="load_voltage_min_v", before=40.0, change=-change, change_interval=(-change, -change))
    assert load_could_do_it(least, load) is (change * (after_w - 2000.0) > 0.0)


def at_pack(judged: Judgement, celsius: float) -> Judgement:
    heat = (
        Heat(
            part="pack",
            start_c=celsius,
            hottest_c=celsius + 9.0,
            end_rise_c_per_min=None,
            end_rise_c_per_min_interval=None,
        ),
    )
    return replace(judged, flights=tuple(replace(one, heat=heat) for one in judged.flights))


def test_a_colder_pack_is_neither_worse_nor_better() -> None:
    worn = logs((("pack_resistance", 0.045),), seeds=(4, 5, 6))
    cold = compare(MACHINE, [at_pack(one, 27.0) for one in logs()], [at_pack(one, 8.0) for one in worn])
    resistance = change_of(cold, "pack_resistance_mohm")
    assert resistance.said is Said.CHANGED
    assert resistance.could_be[0] == PACK_HEAT
    alike = compare(MACHINE, [at_pack(one, 27.0) for one in logs()], [at_pack(one, 26.0) for one in worn])
    assert change_of(alike, "pack_resistance_mohm").said is Said.WORSE


def test_a_pack_whose_temperature_nobody_logged_may_have_been_cold() -> None:
    told = compare(MACHINE, logs(), logs((("pack_resistance", 0.045),), seeds=(4, 5, 6)), (1.2, 1.2))
    assert told.verdict is Outcome.UNKNOWN
    for figure in ("pack_resistance_mohm", "undershoot_percent", "overshoot_percent"):
        moved = [one for one in told.changes if one.figure == figure and one.said in MOVED]
        assert moved
        assert {one.said for one in moved} == {Said.CHANGED}
        assert all(PACK_HEAT in one.could_be for one in moved)
    assert "it would tell: the pack's temperature, logged on both sides" in told.reasons


@pytest.mark.parametrize(("times", "said"), [(0.94, Said.CHANGED), (0.8, Said.BETTER)])
def test_a_few_per_cent_of_a_pack_resistance_are_a_matter_of_two_degrees(times: float, said: Said) -> None:
    def side(mohm: float, celsius: float) -> list[Judgement]:
        made = []
        for k, judged in enumerate(logs()):
            seen = mohm + 0.1 * k
            one = replace(
                judged.flights[0], pack_resistance_mohm=seen, pack_resistance_mohm_interval=(seen - 1, seen + 1)
            )
            made.append(at_pack(replace(judged, log=f"{mohm} {k}", flights=(one,)), celsius))
        return made

    # The days must not be one log: the other side's are of other gusts.
    after = [
        replace(one, trace=other.trace)
        for one, other in zip(side(times * 30.0, 27.5), logs(seeds=(4, 5, 6)), strict=True)
    ]
    told = compare(MACHINE, side(30.0, 27.0), after)
    resistance = change_of(told, "pack_resistance_mohm")
    assert resistance.said is said
    assert (PACK_HEAT in resistance.could_be) is (said is Said.CHANGED)


def with_current(judged: Judgement, times: float) -> Judgement:
    windows = [replace(w, pack_current_mean_a=times * (w.pack_current_mean_a or 0.0)) for w in judged.steady]
    return replace(judged, steady=tuple(windows))


@pytest.mark.parametrize(
    ("times", "density", "said"),
    [
        (0.95, (None, None), Said.CHANGED),
        (0.95, (1.2, 1.2), Said.BETTER),
        (1.06, (None, None), Said.CHANGED),
        (0.80, (None, None), Said.BETTER),
    ],
)
def test_power_that_the_unknown_air_could_have_moved_is_neither_better_nor_worse(
    times: float, density: tuple[float | None, float | None], said: Said
) -> None:
    after = [with_current(one, times) for one in logs(seeds=(4, 5, 6))]
    told = compare(MACHINE, logs(), after, density)
    assert change_of(told, "hover_power_w", 1990.0).said is said
    assert told.verdict is (Outcome.PASS if said is Said.BETTER else Outcome.UNKNOWN)
    assert any("the air density of both sides" in reason for reason in told.reasons) is (said is Said.CHANGED)


def test_a_better_pack_passes_no_power_that_may_be_worse() -> None:
    before = [at_pack(one, 27.0) for one in logs((("pack_resistance", 0.045),), seeds=(4, 5, 6))]
    after = [with_current(at_pack(one, 27.0), 1.07) for one in logs()]
    told = compare(MACHINE, before, after)
    assert change_of(told, "pack_resistance_mohm").said is Said.BETTER
    assert change_of(told, "hover_power_w", 1990.0).said is Said.CHANGED
    assert told.verdict is Outcome.UNKNOWN
    assert any("hover power w at 1990 rpm may be worse, or it was: air density" in reason for reason in told.reasons)


def test_ten_rpm_more_are_named_beside_the_power_that_they_ask() -> None:
    told = compare(MACHINE, logs(), logs((("rpm_at_zero", 600.0),), seeds=(4, 5, 6)))
    power = change_of(told, "hover_power_w", 1990.0)
    assert power.said in (Said.CHANGED, Said.NOISE)
    assert power.said is Said.NOISE or OTHER_SPEED in power.could_be


def test_a_log_given_twice_counts_once_and_says_so() -> None:
    once = compare(MACHINE, logs(seeds=(1,)), logs(SOFT, seeds=(4,)))
    copies = [replace(one, log="copy.csv", trace=replace(one.trace, source="copy.csv")) for one in logs(seeds=(1,))]
    twice = compare(MACHINE, [*logs(seeds=(1,)), *copies, *logs(seeds=(1,))], logs(SOFT, seeds=(4,)))
    assert twice.changes == once.changes
    assert "copy.csv is the same log as plain drive: it counts once" in twice.warnings


def test_the_same_log_on_both_sides_shows_no_change_and_is_said() -> None:
    told = compare(MACHINE, logs(seeds=(1, 2)), [*logs(SOFT, seeds=(4,)), *logs(seeds=(2,))])
    assert told.verdict is Outcome.UNKNOWN
    assert {one.said for one in told.changes} == {Said.UNTOLD}
    assert told.reasons == (SAME_LOG,)


def test_what_a_simulation_shows_better_is_no_pass() -> None:
    better = [with_current(one, 0.8) for one in logs(seeds=(4, 5, 6))]
    marked = [replace(one, trace=replace(one.trace, simulated=True)) for one in better]
    air = (1.19, 1.19)
    assert compare(MACHINE, logs(), better, air).verdict is Outcome.PASS
    told = compare(MACHINE, logs(), marked, air)
    assert told.verdict is Outcome.UNKNOWN
    assert any(NO_EVIDENCE in reason for reason in told.reasons)


def test_sides_that_do_not_both_log_the_collective_are_not_said_to_have_changed() -> None:
    air, blind = (1.19, 1.19), []
    seen = [with_current(one, 1.3) for one in logs(seeds=(4, 5, 6))]
    for one in seen:
        channels = {name: values for name, values in one.trace.channels.items() if name != "collective_deg"}
        blind.append(replace(one, trace=replace(one.trace, channels=channels)))
    assert compare(MACHINE, logs(), seen, air).verdict is Outcome.FAIL
    told = compare(MACHINE, logs(), blind, air)
    assert next(one for one in told.conditions if one.condition == PITCH_SEEN).differs is True
    assert {one.said for one in told.changes if one.figure == "hover_power_w"} == {Said.UNTOLD}
    assert told.verdict is Outcome.UNKNOWN


def test_logs_of_two_machines_are_not_compared() -> None:
    better = [with_current(one, 0.8) for one in logs(seeds=(4, 5, 6))]
    others = [replace(one, warnings=(*one.warnings, f"{MISFIT}: two numbers are off")) for one in better]
    told = compare(MACHINE, logs(), others, (1.19, 1.19))
    assert told.verdict is Outcome.UNKNOWN
    assert told.reasons == (OTHER_MACHINE,)
    assert {one.said for one in told.changes} == {Said.UNTOLD}
