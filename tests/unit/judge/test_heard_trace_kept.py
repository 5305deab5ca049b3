"""What a recording left open stays open in the trace that was written of it."""

from dataclasses import replace

import numpy as np
import pytest

from steadyhead import job
from steadyhead.judge.judging import judge
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.heard_rotor import machine_of, written
from tests.naive.rotor_sound import ROTORS, made


@pytest.fixture(scope="module")
def recording(tmp_path_factory):
    """A bench run with the blades off: only the motor's side is heard."""
    given = made("modes", rotor=ROTORS[0], blades_on=False, snr_db=10.0, seconds=18.0, rate_hz=11025, seed=5)
    return written(given, tmp_path_factory.mktemp("sound") / "bench.wav")


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_cautions_of_the_ear_and_its_unknowns_travel_with_the_trace(recording, tmp_path, ending):
    machine, out = machine_of(ROTORS[0]), tmp_path / f"heard.{ending}"
    heard = job.listen(machine, recording, out=out)
    trace = read_trace(out, remember=False)
    assert trace.time_s.size == heard.judgement.trace.time_s.size
    for said in heard.warnings:
        assert any(" ".join(said.split()) in warning for warning in trace.warnings)
    open_ = {check.check for check in heard.checks if check.verdict is Outcome.UNKNOWN}
    assert {"tip_speed", "head_speed_limit"} & open_
    assert set(trace.left_open) == open_
    judged = job.judge(machine, out)
    assert any("no blades were heard" in warning for warning in judged.warnings)
    assert not [check.check for check in judged.checks if check.check in open_ and check.verdict is Outcome.PASS]


def test_what_the_recording_left_unknown_does_not_fail_from_its_trace():
    """A soft start whose first seconds were drawn, not heard, failed from the trace, where the line looks measured."""
    time_s = np.arange(0.0, 24.0, 0.025)
    speed = 1800.0 * np.clip((time_s - 3.0) / 7.0, 0.0, 1.0)
    trace = Trace(source="heard.csv", time_s=time_s, channels={"head_speed_rpm": speed}, rows_read=time_s.size)

    def judged(left_open):
        found = judge(machine_of(ROTORS[0]), replace(trace, left_open=left_open))
        return found, next(check for check in found.checks if check.check == "soft_start_time")

    _, sure = judged(())
    assert sure.verdict is Outcome.FAIL
    whole, left = judged(("soft_start_time",))
    assert left.verdict is Outcome.UNKNOWN
    assert left.figure == sure.figure
    assert not {name for flight in whole.flights for name in flight.failed} & {"soft_start_time"}


def test_hunting_that_the_recording_failed_is_not_lost_in_its_trace(tmp_path):
    """Without blades no pitch swings the head: the trace must say that none were heard."""
    given = made("hunt", rotor=ROTORS[0], blades_on=False, snr_db=10.0, seconds=14.0, rate_hz=11025, seed=8)
    machine, out = machine_of(ROTORS[0]), tmp_path / "heard.csv"
    heard = job.listen(machine, written(given, tmp_path / "hunt.wav"), out=out)
    failed = {check.check for check in heard.checks if check.verdict is Outcome.FAIL}
    assert "no_hunting" in failed
    judged = job.judge(machine, out)
    assert failed <= {check.check for check in judged.checks if check.verdict is Outcome.FAIL}
