"""Another pack put in between two flights of one log: a fuller one, or one with less in it. Invented data."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.charge_left import Use, pack_changed, voltage_at_rest
from steadyhead.judge.judging import judge
from steadyhead.judge.long_log import judge_pieces
from steadyhead.judge.owner import owner
from steadyhead.judge.pack_swap import has_fallen, highest_at_rest_v, swap_between
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.judge.made_signals import made
from tests.unit.judge.test_telemetry import GIVEN, MACHINE, SET

HERTZ, LASTS_S = 20.0, 90.0
CAPACITY_MAH = float(str(GIVEN["capacity_mah"]))
OHM, CELLS = 0.028, 12


def one_flight(charge: float, uses: float, soft_s: float = 15.0) -> dict[str, np.ndarray]:
    """Return the rows of a flight in hover from rest to rest, on a pack that holds this share and gives that share."""
    t = np.arange(0.0, LASTS_S, 1.0 / HERTZ)
    rng = np.random.default_rng(7)
    head = np.interp(t, [5.3, 5.3 + soft_s, 65.0, 77.0], [0.0, SET, SET, 0.0])
    duty = np.where((t > 5.3) & (t < 65.0), 0.76 * head / SET + 0.01, 0.0)
    amperes = np.where(duty > 0.1, uses * CAPACITY_MAH * 3.6 / 57.0, 0.3)
    left = charge - np.cumsum(amperes) / HERTZ / 3.6 / CAPACITY_MAH
    cell = np.array([voltage_at_rest(share) for share in left.tolist()])
    return {
        "time_s": t,
        "head_speed_rpm": head + rng.normal(0.0, 1.5, t.size) * (head > 0.0),
        "throttle_percent": np.where((t > 5.0) & (t < 65.0), 80.0, 0.0),
        "duty": duty,
        "pack_current_a": amperes,
        "pack_voltage_v": CELLS * cell - OHM * amperes,
        "height_m": np.interp(t, [25.0, 30.0, 58.0, 63.0], [0.0, 20.0, 20.0, 0.0]),
        "collective_deg": np.interp(t, [25.0, 26.0, 60.0, 61.0], [0.0, 4.5, 4.5, 0.0]),
    }


def in_one_log(*flights: dict[str, np.ndarray], seam: bool = False) -> Judgement:
    """Judge flights that stand in one file; with a seam the clock began again with the second."""
    rows = {name: np.concatenate([one[name] for one in flights]) for name in flights[0] if name != "time_s"}
    t = np.arange(rows["duty"].size) / HERTZ
    seams = (float(t[flights[0]["time_s"].size]),) if seam else ()
    return judge(MACHINE, Trace(source="made", time_s=t, channels=rows, rows_read=t.size, seams_s=seams))


def told(judged: Judgement, name: str) -> Verdict:
    return next(check for check in judged.checks if check.check == name)


@pytest.mark.parametrize("seam", [False, True])
def test_a_pack_with_less_in_it_than_the_first_one_left_is_judged_by_itself(seam: bool) -> None:
    got = in_one_log(one_flight(1.0, 0.2), one_flight(0.45, 0.2), seam=seam)
    alone = told(in_one_log(one_flight(0.45, 0.2)), "charge_left")
    assert [one.pack_changed for one in got.flights] == [None, True]
    assert told(got, "charge_left").verdict is alone.verdict is not Outcome.PASS
    assert told(got, "charge_left").figure == pytest.approx(alone.figure, abs=0.02)


@pytest.mark.parametrize("seam", [False, True])
def test_a_pack_that_may_be_another_is_counted_both_ways(seam: bool) -> None:
    got = in_one_log(one_flight(1.0, 0.45), one_flight(0.4, 0.25), seam=seam)
    assert [one.pack_changed for one in got.flights] == [None, None]
    assert told(got, "charge_left").verdict is Outcome.UNKNOWN
    assert "on that pack or on another" in told(got, "charge_left").reason


@pytest.mark.parametrize("seam", [False, True])
def test_two_flights_on_one_pack_are_known_as_such(seam: bool) -> None:
    got = in_one_log(one_flight(1.0, 0.25), one_flight(0.75, 0.25), seam=seam)
    assert [one.pack_changed for one in got.flights] == [None, False]
    assert told(got, "charge_left").verdict is Outcome.PASS
    assert told(got, "charge_left").figure == pytest.approx(0.5, abs=0.03)


def test_a_start_with_another_pack_is_a_soft_one_and_tells_nothing_of_hold() -> None:
    got = in_one_log(one_flight(1.0, 0.2), one_flight(0.45, 0.2, soft_s=7.0))
    assert [s.kind for s in got.segments if s.kind.endswith("spool")] == ["soft_spool"] * 2
    assert told(got, "soft_start_time").verdict is Outcome.FAIL
    assert told(got, "soft_start_time").figure == pytest.approx(7.0, abs=0.3)
    assert told(got, "hold_clears_quick_restart").verdict is Outcome.UNKNOWN
    same = in_one_log(one_flight(1.0, 0.2), one_flight(0.8, 0.2))
    assert told(same, "hold_clears_quick_restart").verdict is Outcome.PASS


def test_a_quick_start_with_what_may_be_another_pack_passes_no_soft_start() -> None:
    got = in_one_log(one_flight(1.0, 0.45), one_flight(0.4, 0.25, soft_s=7.0))
    assert told(got, "soft_start_time").verdict is Outcome.UNKNOWN
    assert told(got, "hold_clears_quick_restart").verdict is Outcome.UNKNOWN


def test_a_head_whose_pack_was_changed_stands() -> None:
    first = one_flight(1.0, 0.2)
    rows = int(70.0 * HERTZ)
    got = in_one_log({name: values[:rows] for name, values in first.items()}, one_flight(0.45, 0.2, soft_s=7.0))
    assert [s.kind for s in got.segments][-5:] == ["stopped", "soft_spool", "governed", "coast", "stopped"]
    assert told(got, "soft_start_time").verdict is Outcome.FAIL


def test_a_load_at_rest_is_no_other_pack() -> None:
    t = np.arange(0.0, 30.0, 0.05)
    fell = np.where(t > 15.0, 45.3, 48.1)
    for draws_a, seen in ((0.3, True), (40.0, False)):
        signals = made(t, pack_voltage_v=fell, pack_current_a=np.where(t > 15.0, draws_a, 0.3))
        swap = swap_between(signals, 0.0, 30.0)
        assert (swap is not None) is seen
    lost = made(t, pack_voltage_v=np.where((t > 10.0) & (t < 14.0), 0.0, 48.1))
    assert swap_between(lost, 0.0, 30.0) is None


def test_a_voltage_that_rises_as_a_late_load_ends_is_no_other_pack() -> None:
    t = np.arange(0.0, 30.0, 0.05)
    volts = np.where(t > 15.0, 48.1, 45.3)
    for drew_a, seen in ((0.3, True), (40.0, False)):
        signals = made(t, pack_voltage_v=volts, pack_current_a=np.where(t > 15.0, 0.3, drew_a))
        assert (swap_between(signals, 0.0, 30.0) is not None) is seen


def test_the_fall_of_a_pack_is_found_where_it_was() -> None:
    t = np.arange(0.0, 30.0, 0.05)
    swap = swap_between(made(t, pack_voltage_v=np.where(t > 12.0, 45.3, 48.1)), 0.0, 30.0)
    assert swap is not None
    assert swap.sure
    assert swap.at_s == pytest.approx(12.0, abs=0.1)
    assert has_fallen(48.1, 45.3, 0.01)
    assert has_fallen(48.1, 47.7, 0.01) is None
    assert has_fallen(48.1, 47.9, 0.01) is False
    assert has_fallen(11.4, 11.3, 0.1) is False


@pytest.mark.parametrize(
    ("used", "now_charge", "off_v", "changed"),
    [
        (0.3, 0.70, 0.0, False),
        (0.3, 0.70, -0.12, False),
        (0.3, 0.70, -0.15, None),
        (0.3, 0.70, -0.25, True),
        (0.3, 0.95, 0.0, True),
        (0.05, 0.95, 0.0, None),
        (0.05, 0.50, 0.0, True),
    ],
)
def test_the_voltage_at_rest_tells_another_pack_only_beyond_what_makes_and_rest_make_of_it(
    used: float, now_charge: float, off_v: float, changed: bool | None
) -> None:
    numbers = dataclasses.replace(owner(MACHINE), capacity_spread_mah=0.0)
    before = Use(number=1, used_mah=used * CAPACITY_MAH, rest_v=CELLS * voltage_at_rest(1.0), fresh=None)
    assert pack_changed(before, CELLS * (voltage_at_rest(now_charge) + off_v), numbers) is changed


@pytest.mark.parametrize("cut_s", [LASTS_S - 3.0, LASTS_S, LASTS_S + 3.0])
def test_a_log_read_in_pieces_shows_a_pack_with_less_in_it_wherever_it_is_cut(cut_s: float) -> None:
    whole = in_one_log(one_flight(1.0, 0.2), one_flight(0.45, 0.2)).trace
    row = int(cut_s * HERTZ)
    parts = [
        dataclasses.replace(
            whole,
            time_s=whole.time_s[rows],
            channels={name: values[rows] for name, values in whole.channels.items()},
            row=whole.row[rows],
        )
        for rows in (slice(0, row), slice(row, None))
    ]
    got = judge_pieces(MACHINE, parts)
    assert [one.pack_changed for one in got.flights] == [None, True]
    assert told(got, "charge_left").figure == pytest.approx(0.25, abs=0.05)


def test_the_voltage_that_a_part_left_is_the_highest_at_rest_or_the_load_it_ends_with() -> None:
    t = np.arange(0.0, 40.0, 0.1)
    volts = np.interp(t, [0.0, 20.0, 20.1, 30.0, 30.1], [46.0, 45.0, 47.0, 47.5, 44.0])
    volts[::7] = np.nan
    trace = Trace(source="made", time_s=t, channels={"pack_voltage_v": volts}, rows_read=t.size)
    assert highest_at_rest_v(trace, 20.0) == pytest.approx(47.5, abs=0.1)
    assert highest_at_rest_v(trace, 39.9) == pytest.approx(44.0)
    assert highest_at_rest_v(dataclasses.replace(trace, channels={}), 20.0) is None
