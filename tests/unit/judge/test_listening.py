"""A recording is judged as a log is, with the doubt of the ear; what it cannot show is unknown."""

from dataclasses import replace

import pytest

from steadyhead import job
from steadyhead.judge.as_heard import widened
from steadyhead.judge.held_heard import named
from steadyhead.judge.listening import listen, readings_heard
from steadyhead.judge.sound_of import sound_gearing_of, top_rpm_of
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.heard_rotor import machine_of, written
from tests.naive.rotor_sound import ROTORS, Made, made


@pytest.fixture(scope="module")
def modes() -> Made:
    return made("modes", rotor=ROTORS[0], blades_on=False, snr_db=6.0, seconds=24.0, rate_hz=11025, seed=5)


@pytest.fixture(scope="module")
def heard(modes, tmp_path_factory):
    return listen(machine_of(ROTORS[0]), written(modes, tmp_path_factory.mktemp("sound") / "modes.wav"))


def test_the_speeds_that_are_held_are_the_true_ones_within_their_interval(heard, modes):
    assert len(heard.set_speeds) == 3
    for speed in heard.set_speeds:
        inside = (modes.time_s > speed.start_s) & (modes.time_s < speed.end_s)
        true = float(modes.head_rpm[inside].mean())
        low, high = speed.head_speed_rpm_interval
        assert low <= true <= high
        assert high - low < 0.02 * true


def test_flight_modes_and_readings_follow_from_the_order_of_the_speeds(heard):
    assert [speed.mode for speed in heard.set_speeds] == ["one", "two", "three"]
    readings = readings_heard(heard)
    assert [reading.percent for reading in readings] == pytest.approx([50.0, 60.0, 70.0])
    assert all(reading.spread_rpm >= 0.001 * reading.head_speed_rpm * 0.99 for reading in readings)
    assert "modes.wav" in readings[0].source


def test_a_recording_makes_a_set_point_law_as_a_log_does(heard, modes, tmp_path):
    path = written(modes, tmp_path / "modes.wav")
    assert job.is_sound(path)
    found = job.readings_heard(job.listen(machine_of(ROTORS[0]), path))
    answer = job.channel(machine_of(ROTORS[0]), kept=found)
    assert {reading.source.partition(",")[0] for reading in answer.readings} == {"modes.wav"}


def test_speeds_that_are_no_flight_mode_make_no_reading(heard):
    bare = [replace(speed, mode=None, channel_percent=None) for speed in heard.set_speeds]
    alone = named(bare[:1], machine_of(ROTORS[0]).flight_mode[:1])
    assert [speed.mode for speed in alone] == ["one"]
    shared = named(bare, machine_of(ROTORS[0]).flight_mode[1:2])
    assert [speed.mode for speed in shared] == [None, None, None]
    with pytest.raises(InputError, match="no one flight mode"):
        readings_heard(replace(heard, set_speeds=shared))


def test_checks_that_need_other_channels_are_unknown(heard):
    by_name = {check.check: check.verdict for check in heard.checks}
    for name in ("duty_margin", "cell_voltage", "hold_stops_motor", "charge_left", "run_logic_conformance"):
        assert by_name[name] is Outcome.UNKNOWN
    assert heard.verdict is not Outcome.PASS
    assert {segment.kind for segment in heard.segments} == {"governed"}


def test_a_recording_without_a_rotor_is_unknown_and_says_so(tmp_path):
    wind = made("hover", rotor=ROTORS[0], over="wind", snr_db=-80.0, seconds=4.0, rate_hz=16000, seed=4)
    heard = listen(machine_of(ROTORS[0]), written(wind, tmp_path / "wind.wav"))
    assert not heard.heard
    assert heard.verdict is Outcome.UNKNOWN
    assert all(rpm is None for rpm in heard.head_speed_rpm)
    assert all(check.verdict is Outcome.UNKNOWN for check in heard.checks)
    assert "no rotor of this machine was heard" in heard.warnings[0]
    with pytest.raises(InputError, match="no head speed that is held"):
        readings_heard(heard)


def test_a_pass_within_the_doubt_of_the_ear_is_unknown():
    limit = Limit(value=1.0, unit="%", origin="test")
    near = Verdict.at_most("steady_band", 0.95, limit, what="band")
    far = Verdict.at_most("steady_band", 0.5, limit, what="band")
    failed = Verdict.at_most("steady_band", 1.05, limit, what="band")
    assert near.verdict is Outcome.PASS
    assert widened(near, 0.001).verdict is Outcome.UNKNOWN
    assert widened(far, 0.001).verdict is Outcome.PASS
    assert widened(far, 0.001).figure_interval == pytest.approx((0.4, 0.6))
    assert widened(failed, 0.001).verdict is Outcome.FAIL
    slow = Verdict.at_least("soft_start_time", 10.05, Limit(value=10.0, unit="s", origin="test"), what="start")
    assert widened(slow, 0.001).verdict is Outcome.UNKNOWN


def test_the_lines_of_a_machine_come_from_its_file():
    fox = read_machine(bundled("fox600"))
    gearing = sound_gearing_of(fox)
    assert gearing.mesh_teeth == (117.0,)
    assert gearing.motor_ratio == 9.0
    assert gearing.pole_pairs == 5.0
    assert 2000.0 < top_rpm_of(fox) < 3300.0
    two = machine_of(ROTORS[2])
    assert sound_gearing_of(two).mesh_teeth == pytest.approx((18 * ROTORS[2].ratio, 63.0))
