import dataclasses
import json
import re
from pathlib import Path

import pytest

from steadyhead.channel import result
from steadyhead.channel.answer import channel
from steadyhead.channel.reading_text import readings_from_texts
from steadyhead.words.cautions import ADVICE_ONLY, BENCH
from steadyhead.words.errors import InputError
from steadyhead.words.plain import json_text
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import line_readings, machine, reading

MANUAL = Path(__file__).parents[3] / "docs" / "channel.md"
LISTED = {
    "law": ("kind", "slope_rpm_per_percent", "zero_percent", "residual_rpm"),
    "thresholds": ("cut_off_us", "start_us", "margin_us", "start_delay_s"),
}
"""Keys that design promises; more are welcome."""


def test_a_right_machine_with_three_readings_passes() -> None:
    answer = channel(machine(), line_readings(57.0, 70.0, 83.0))
    assert answer.verdict is Outcome.PASS
    assert answer.reasons == ()
    assert answer.unknowns == ()
    assert [mode.curve_percent for mode in answer.modes] == pytest.approx([57.0, 70.0, 83.0])
    assert answer.autorotation_window_percent == pytest.approx((8.25, 21.75))
    assert answer.machine_revision == 3


def test_a_head_speed_that_the_motor_cannot_drive_is_remarked() -> None:
    """560 rpm/V, 12 full cells and 9 to 1 drive 3136 rpm without load, 3606 with Kv off by 15 %."""
    for rpm, remarked in ((3550.0, False), (3700.0, True)):
        answer = channel(machine(), (*line_readings(57.0, 70.0, 83.0), reading(100.0, rpm)))
        assert any("faster than the motor drives the head" in said for said in answer.warnings) is remarked


def test_every_answer_carries_the_cautions() -> None:
    assert channel(machine(), ()).cautions == BENCH + ADVICE_ONLY


def test_without_readings_nothing_about_head_speed_passes() -> None:
    answer = channel(machine(), ())
    assert answer.verdict is Outcome.UNKNOWN
    assert answer.law.kind == "unknown"
    assert {mode.verdict for mode in answer.modes} == {Outcome.UNKNOWN}
    assert answer.unknowns == ("readings",)
    assert answer.next_reading_percent == pytest.approx(57.0)


def test_two_flat_curves_as_common_practice_has_them() -> None:
    """Flat 100 % read 2196 rpm, flat 97 % read 2067 rpm: common practice, no source."""
    answer = channel(machine(modes=(("idle-up 1", "2130 rpm", ""),)), readings_from_texts(["100=2196", "97=2067"]))
    assert answer.law.kind == "affine"
    assert answer.law.slope_rpm_per_percent == pytest.approx(43.0)
    assert answer.law.slope_rpm_per_percent_interval is not None
    assert answer.law.slope_rpm_per_percent_interval[0] > 0.0
    assert "it would give 2130 rpm at 97 %, but 2067 was read" in answer.law.chosen_because
    assert answer.verdict is Outcome.UNKNOWN
    assert answer.modes[0].curve_percent == pytest.approx(100.0 - 66.0 / 43.0, abs=0.07)


def test_readings_too_close_together_to_show_a_rise_never_pass() -> None:
    answer = channel(machine(), line_readings(80.0, 80.25, 80.5, slope=20.0, spread_rpm=12.0))
    law = next(check for check in answer.checks if check.check == "set_point_law")
    assert law.verdict is Outcome.UNKNOWN
    assert "too close together to show" in law.reason


def test_readings_from_texts_the_file_and_of_the_call_are_taken_together() -> None:
    with_rows = machine(readings=(("57 %", "1730 rpm +- 5 rpm"), ("70 %", "1990 rpm +- 5 rpm")))
    answer = channel(with_rows, line_readings(83.0))
    assert [reading.source for reading in answer.readings] == [
        "machine file, reading 1",
        "machine file, reading 2",
        "bench",
    ]
    assert answer.law.kind == "affine"


def test_readings_that_contradict_the_file_are_refused() -> None:
    with_rows = machine(readings=(("70 %", "1990 rpm +- 5 rpm"),))
    with pytest.raises(InputError) as caught:
        channel(with_rows, readings_from_texts(["70=2100"]))
    assert "machine file, reading 1" in str(caught.value)
    assert "command line" in str(caught.value)


def test_readings_stand_for_the_pulses_that_were_sent() -> None:
    coarse = machine(step="8 us", readings=())
    shifted = tuple(dataclasses.replace(row, percent=row.percent + 0.4) for row in line_readings(57.0, 70.0, 83.0))
    answer = channel(coarse, shifted)
    assert answer.law.slope_rpm_per_percent == pytest.approx(20.0)
    assert answer.law.zero_percent == pytest.approx(-29.5)


def test_an_autorotation_value_below_the_cut_off_fails_the_whole_answer() -> None:
    answer = channel(machine(autorotation="5 %"), line_readings(57.0, 70.0, 83.0))
    assert answer.verdict is Outcome.FAIL
    assert any("the quick restart is lost; set it between 9 and 21 %" in reason for reason in answer.reasons)


UNKNOWN_KEYS = ("cut_off", "start", "learned_low", "learned_high", "ramp_rate", "autorotation", "hold")


@pytest.mark.parametrize("key", UNKNOWN_KEYS)
def test_leaving_any_one_thing_unknown_never_passes_and_is_named(key: str) -> None:
    answer = channel(machine(without=(key,)), line_readings(57.0, 70.0, 83.0))
    assert answer.verdict is Outcome.UNKNOWN
    assert f"channel.{key}" in answer.unknowns


def test_a_machine_without_flight_modes_never_passes() -> None:
    answer = channel(machine(modes=()), line_readings(57.0, 70.0, 83.0))
    assert answer.verdict is Outcome.UNKNOWN
    assert "flight_mode" in answer.unknowns


def test_typical_values_and_missing_spreads_are_warned_of() -> None:
    answer = channel(machine(without=("step", "jitter")), readings_from_texts(["57=1730", "70=1990", "83=2250"]))
    assert any("channel.step, channel.jitter" in warning for warning in answer.warnings)
    assert any("3 of 3 readings have no spread" in warning for warning in answer.warnings)


def test_a_hold_value_above_the_learned_low_end_is_warned_of() -> None:
    said = "above the learned low end"
    assert not any(said in warning for warning in channel(machine()).warnings)
    raised = channel(machine(hold="5 %"))
    assert any(f"throttle hold lies 40 us {said}" in warning for warning in raised.warnings)


def test_the_answer_does_not_depend_on_the_order_of_the_readings() -> None:
    readings = line_readings(57.0, 70.0, 83.0)
    assert channel(machine(), readings) == channel(machine(), readings[::-1])


def test_travel_can_be_asked_for_in_tenths() -> None:
    off = machine(learned_low="1086 us", learned_high="1914 us")
    assert channel(off).end_points.low_travel_percent == 104.0
    assert channel(off, travel_step_percent=0.1).end_points.high_travel_percent == 103.5


def test_the_json_holds_every_listed_key_and_no_number_that_is_none() -> None:
    read = json.loads(json_text(channel(machine(), line_readings(57.0, 70.0, 83.0))))
    for name in ("end_points", "autorotation_window_percent", "next_reading_percent", "verdict", "reasons"):
        assert name in read
    for table, keys in LISTED.items():
        assert set(keys) <= set(read[table])
    for key in ("mode", "target_rpm", "curve_percent", "expected_rpm", "expected_rpm_interval"):
        assert key in read["modes"][0]


def test_every_json_key_stands_in_the_manual() -> None:
    manual = MANUAL.read_text("utf-8")
    named = set(re.findall(r"`([a-z_0-9]+)`", manual))
    for kind in (
        result.ChannelAnswer,
        result.Law,
        result.ModeCurve,
        result.EndPoints,
        result.Thresholds,
        result.Reading,
    ):
        missing = {field.name for field in dataclasses.fields(kind)} - named
        assert not missing, f"{kind.__name__}: {missing}"


def test_every_check_stands_in_the_manual() -> None:
    manual = MANUAL.read_text("utf-8")
    limited = machine(more='[limits]\nhead_speed_max = "2550 rpm"\n')
    for answer in (channel(limited, line_readings(57.0, 70.0, 83.0)), channel(machine(modes=()))):
        for check in (*answer.checks, *answer.end_points.checks, *answer.thresholds.checks):
            assert f"`{check.check.split(':')[0]}`" in manual, check.check
