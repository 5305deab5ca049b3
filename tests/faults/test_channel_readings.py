"""Readings and channels that cannot be right are refused in one sentence that names them."""

import math

import pytest

from steadyhead.channel.answer import channel
from steadyhead.channel.reading_text import readings_from_texts
from steadyhead.channel.result import Reading
from steadyhead.words.errors import InputError
from tests.unit.channel.bench import machine, reading


def refusal(*texts: str) -> str:
    with pytest.raises(InputError) as caught:
        channel(machine(), readings_from_texts(texts))
    assert caught.value.place.startswith(("readings", "--reading"))
    return str(caught.value)


def test_two_head_speeds_at_one_position_name_both_readings() -> None:
    said = refusal("80=1710+-5", "80=1790+-5")
    assert "1710 rpm at 80 %" in said
    assert "1790 rpm at 80 %" in said
    assert "\n" not in said


def test_a_head_speed_that_falls_names_both_readings() -> None:
    said = refusal("57=1990", "70=1730", "83=2250")
    assert "1990 rpm at 57 %" in said
    assert "1730 rpm at 70 %" in said


@pytest.mark.parametrize("text", ["80=17 10", "80:1710", "$(reboot)=1", "80=1710\x00", "8" * 5000])
def test_hostile_text_is_refused_and_never_run_or_echoed_at_length(text: str) -> None:
    assert len(refusal(text)) < 400


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, -1.0])
def test_numbers_that_are_none_are_refused_wherever_they_stand(bad: float) -> None:
    for wrong in (reading(bad, 1990.0), reading(70.0, bad), reading(70.0, 1990.0, bad)):
        with pytest.raises(InputError):
            channel(machine(), (wrong,))


def test_a_motor_speed_typed_as_a_head_speed_is_refused_by_its_size() -> None:
    assert "head speed of the running rotor" in refusal("80=21000")


def test_a_thousand_readings_are_answered_and_not_hung_on() -> None:
    many = tuple(
        Reading(percent=30.0 + 0.07 * i, head_speed_rpm=600.0 + 20.0 * (30.0 + 0.07 * i), spread_rpm=5.0, source="log")
        for i in range(1000)
    )
    assert channel(machine(), many).law.kind == "affine"


def test_readings_all_at_one_position_leave_the_law_unknown() -> None:
    same = tuple(reading(70.0, 1990.0 + 0.1 * i) for i in range(5))
    assert channel(machine(), same).law.kind == "unknown"
