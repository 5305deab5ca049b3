import pytest

from steadyhead.channel.machine_setting import channel_setting, machine_readings
from tests.unit.channel.bench import machine


def test_numbers_come_as_their_owner_wrote_them() -> None:
    known = channel_setting(machine(cut_off="8 % +- 0.5 %", learned_low="1097 us +- 3 us"))
    assert (known.pulse.low_us, known.pulse.high_us, known.pulse.step_us) == (1100.0, 1900.0, 1.0)
    assert known.cut_off_percent is not None
    assert known.cut_off_percent.figure == 8.0
    assert known.learned_low_us is not None
    assert known.learned_low_us.spread == pytest.approx(3.0)
    assert known.ramp_rate_percent_s is not None
    assert known.ramp_rate_percent_s.figure == 50.0
    assert [mode.today_percent for mode in known.modes] == [57.0, 70.0, 83.0]
    assert known.modes[0].head_speed_rpm == 1730.0


def test_what_is_left_out_stays_unknown_or_is_marked() -> None:
    known = channel_setting(machine(without=("cut_off", "start", "learned_low", "autorotation", "ramp_rate", "hold")))
    assert known.cut_off_percent is None
    assert known.start_percent is None
    assert known.learned_low_us is None
    assert known.autorotation_percent is None
    assert known.ramp_rate_percent_s is None
    assert not known.hold_is_stated
    assert channel_setting(machine()).hold_is_stated


def test_a_reading_without_a_spread_is_not_taken_for_one_with() -> None:
    rows = machine_readings(machine(readings=(("57 %", "1730 rpm"), ("70 %", "1990 rpm +- 6 rpm"))))
    assert [row.spread_rpm for row in rows] == [0.0, pytest.approx(6.0)]
    assert rows[0].source == "machine file, reading 1"
    assert (rows[1].percent, rows[1].head_speed_rpm) == (70.0, 1990.0)
