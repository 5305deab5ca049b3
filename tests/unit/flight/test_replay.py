import numpy as np
import pytest

from steadyhead import job
from steadyhead.flight.files import write_trace
from steadyhead.flight.governor_spread import drawn, moved
from steadyhead.flight.replay import Learned, replayed
from steadyhead.flight.replay_spread import with_doubt
from steadyhead.flight.residuals import residuals
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import InputError
from steadyhead.words.value import Origin, Value
from steadyhead.words.verdict import Outcome
from tests.unit.flight.rigs import flight, good_fox

LAW = ((57.0, 1730.0), (70.0, 1990.0))


def learned(**more) -> Learned:
    return Learned(**({"law": LAW, "airborne": True, "soft_spool_s": 15.0, "quick_spool_s": 2.0} | more))


def without(trace: Trace, *names: str) -> Trace:
    channels = {name: series for name, series in trace.channels.items() if name not in names}
    return Trace(source="cut", time_s=trace.time_s, channels=channels, rows_read=trace.rows_read)


def worst(found, figure: str) -> float:
    return max(one.rms for one in found if one.figure == figure)


@pytest.mark.parametrize("name", ["climb_out", "pitch_pumps"])
def test_a_replay_of_our_own_trace_follows_it(name):
    log = flight(name).trace
    again = replayed(good_fox(), log, learned())
    found = residuals(again.trace, log, [("governed", 1.0, log.duration_s)])
    assert worst(found, "head_speed_rpm") < 6.0
    assert worst(found, "pack_current_a") < 2.5
    assert worst(found, "pack_voltage_v") < 0.15


def test_a_log_without_collective_is_replayed_by_its_current():
    log = without(flight("climb_out").trace, "collective_deg", "height_m", "climb_speed_m_s")
    again = replayed(good_fox(), log, learned())
    assert any("current" in told.says for told in again.assumptions)
    found = residuals(again.trace, log, [("governed", 1.0, log.duration_s)])
    assert worst(found, "head_speed_rpm") < 15.0
    assert worst(found, "pack_current_a") < 4.0


def test_a_whole_flight_is_replayed_from_rest_to_rest():
    log = flight("whole_flight").trace
    again = replayed(good_fox(), log, learned())
    found = residuals(again.trace, log, [("soft_spool", 5.0, 18.0), ("governed", 30.0, 100.0)])
    assert worst(found, "head_speed_rpm") < 30.0


def test_a_log_with_no_throttle_or_no_load_cannot_be_replayed():
    log = flight("climb_out").trace
    with pytest.raises(InputError, match="throttle"):
        replayed(good_fox(), without(log, "throttle_percent"), learned())
    with pytest.raises(InputError, match="current"):
        replayed(good_fox(), without(log, "collective_deg", "pack_current_a"), learned())


def test_a_residual_is_simulation_less_log():
    time_s = np.linspace(0.0, 1.0, 11)
    flown = Trace(source="a", time_s=time_s, channels={"head_speed_rpm": np.full(11, 12.0)}, rows_read=11)
    log = Trace(source="b", time_s=time_s, channels={"head_speed_rpm": np.full(11, 10.0)}, rows_read=11)
    (one,) = residuals(flown, log, [("governed", 0.0, 1.0)])
    assert (one.mean, one.rms, one.log_mean) == (2.0, 2.0, 10.0)


def test_the_doubts_of_the_machine_explain_its_own_flight_and_not_a_current_that_is_far_off():
    log = flight("climb_out").trace
    off = {**log.channels, "pack_current_a": log.channels["pack_current_a"] + 60.0}
    wrong = Trace(source="off", time_s=log.time_s, channels=off, rows_read=log.rows_read)
    stretch = [("governed", 1.0, log.duration_s)]
    again = replayed(good_fox(), log, learned())
    own, other = (
        {one.figure: one for one in with_doubt(residuals(again.trace, seen, stretch), good_fox(), seen, learned())}
        for seen in (log, wrong)
    )
    assert all(one.within_doubt for one in own.values())
    assert own["pack_current_a"].mean_interval is not None
    low, high = own["pack_current_a"].mean_interval
    assert low < own["pack_current_a"].mean < high
    assert other["pack_current_a"].within_doubt is False
    assert other["head_speed_rpm"].within_doubt


def test_a_drawn_value_ends_where_its_spread_ends_on_either_side():
    factor = Value(number=1.0, unit="", si=1.0, spread_si=0.8, origin=Origin.TYPICAL, note="a test")
    one = good_fox().filled({"controller.ripple_factor": factor})
    drawn_values = [m.value("controller.ripple_factor") for m in drawn(one)]
    numbers = sorted(value.si for value in drawn_values if value is not None)
    assert moved(one, "controller.ripple_factor", factor, 1.0) == pytest.approx(1.8)
    assert moved(one, "controller.ripple_factor", factor, -1.0) == pytest.approx(0.2)
    assert numbers[0] > 0.0
    assert numbers[0] < 0.6


@pytest.mark.parametrize("ending", [".csv", ".parquet"])
def test_a_written_flight_is_read_back_as_the_same_trace(tmp_path, ending):
    trace = flight("climb_out").trace
    path = write_trace(trace, tmp_path / f"flight{ending}")
    assert sorted(p.name for p in tmp_path.iterdir()) == [path.name]
    read = read_trace(path, remember=False)
    assert set(read.channels) == set(trace.channels)
    for name, series in trace.channels.items():
        assert np.allclose(read.channels[name], series, rtol=1e-9, atol=1e-9), name


def test_a_written_flight_judges_as_it_did(tmp_path):
    done = job.fly(good_fox(), "whole_flight", out=tmp_path / "flight.parquet")
    again = job.judge(good_fox(), tmp_path / "flight.parquet")
    ours = [(s.kind, round(s.start_s, 2), round(s.end_s, 2)) for s in done.judgement.segments]
    assert ours == [(s.kind, round(s.start_s, 2), round(s.end_s, 2)) for s in again.segments]


def test_another_ending_is_refused_before_anything_is_flown(tmp_path):
    with pytest.raises(InputError, match=r"\.parquet or \.csv"):
        job.fly(good_fox(), "hover", out=tmp_path / "flight.xlsx")
    with pytest.raises(InputError, match="folder"):
        job.fly(good_fox(), "hover", out=tmp_path / "nowhere" / "flight.csv")
    assert not list(tmp_path.iterdir())


def test_stopping_between_slices_leaves_no_file(tmp_path):
    def impatient(step: str) -> None:
        if step.startswith("fly 1"):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        job.fly(good_fox(), "climb_out", out=tmp_path / "flight.csv", say=impatient)
    assert not list(tmp_path.iterdir())


def test_a_flight_is_drawn_with_the_log_beside_it(tmp_path):
    job.fly(good_fox(), "climb_out", out=tmp_path / "log.csv")
    done = job.fly_against(good_fox(), tmp_path / "log.csv", plot=tmp_path / "flight.svg")
    assert "the log" in (tmp_path / "flight.svg").read_text("utf-8")
    assert {one.figure for one in done.residuals} >= {"head_speed_rpm", "pack_current_a", "pack_voltage_v"}
    assert done.against


def test_a_scenario_of_one_line_replays_the_log_beside_it(tmp_path):
    job.fly(good_fox(), "climb_out", out=tmp_path / "log.csv")
    (tmp_path / "again.toml").write_text('replay = "log.csv"\n')
    done = job.fly(good_fox(), str(tmp_path / "again.toml"))
    assert done.against
    assert done.residuals
    (tmp_path / "both.toml").write_text('replay = "log.csv"\ncharge = 0.5\n')
    with pytest.raises(InputError, match="charge beside replay"):
        job.fly(good_fox(), str(tmp_path / "both.toml"))


def test_a_coarse_log_cannot_blame_throttle_hold():
    done = job.fly_against(job.read_machine(job.bundled("fox600")), DEMO_LOGS[1])
    hold = next(check for check in done.judgement.checks if check.check == "hold_stops_motor")
    assert hold.verdict is Outcome.UNKNOWN
    assert not any("throttle hold, or its end point" in line for line in done.judgement.advice)


def test_a_log_with_collective_of_a_bare_head_is_replayed_without_blades():
    log = flight("climb_out").trace
    bare = replayed(good_fox(), log, learned(airborne=False, bare=True))
    assert any(told.key == "blades" and "too little power for blades" in told.says for told in bare.assumptions)
    blades = replayed(good_fox(), log, learned(airborne=False))
    assert not any(told.key == "blades" for told in blades.assumptions)
    assert np.mean(bare.trace.channels["pack_current_a"]) < 0.3 * np.mean(blades.trace.channels["pack_current_a"])
