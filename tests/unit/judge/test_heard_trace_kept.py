"""What a recording left open stays open in the trace that was written of it."""

import pytest

from steadyhead import job
from steadyhead.trace.reading import read_trace
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


def test_what_the_recording_left_unknown_does_not_fail_from_its_trace(tmp_path):
    """A soft start whose first seconds were drawn, not heard, failed from the trace, where the line looks measured."""
    given = made("spool", rotor=ROTORS[3], blades_on=False, snr_db=3.0, seconds=15.0, rate_hz=22050, seed=4003)
    machine, out = machine_of(ROTORS[3]), tmp_path / "heard.csv"
    heard = job.listen(machine, written(given, tmp_path / "spool.wav"), out=out)
    judged = job.judge(machine, out)
    open_ = {check.check for check in heard.checks if check.verdict is Outcome.UNKNOWN}
    assert "soft_start_time" in open_
    from_trace = {check.check: check for check in judged.checks}
    assert not [name for name in open_ if name in from_trace and from_trace[name].verdict is not Outcome.UNKNOWN]
    assert not {name for flight in judged.flights for name in flight.failed} & open_
    assert from_trace["soft_start_time"].figure is not None
