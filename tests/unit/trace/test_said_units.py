"""A unit that a person says is held against the rest of the log, and all parts of an ampere are offered."""

from pathlib import Path

import pytest

from steadyhead.trace.reading import read_trace
from tests.unit.trace.flights import CURRENT_A, GEARING, flight

TENTHS = {"pack current (A)": {"pack current": 100.0 * CURRENT_A}}


def test_a_bare_current_is_offered_each_part_of_an_ampere_with_its_peak(tmp_path: Path) -> None:
    said = next(word for word in flight(tmp_path, instead=TENTHS).warnings if "too large for amperes" in word)
    for part, peak in (("1/10 A", 284.0), ("1/100 A", 28.4), ("mA", 2.84)):
        assert f"in {part} its peak is {peak:.3g} A" in said
        assert f"pack current=pack_current_a:{part}" in said


@pytest.mark.parametrize(("part", "right"), [("mA", False), ("1/100 A", True), ("1/10 A", False)])
def test_a_said_unit_that_the_charge_contradicts_is_not_used(part: str, right: bool, tmp_path: Path) -> None:
    flight(tmp_path, instead=TENTHS)
    trace = read_trace(
        tmp_path / "log.csv", gearing=GEARING, mapping={"pack current": f"pack_current_a:{part}"}, remember=False
    )
    assert trace.has("pack_current_a") is right
    assert any("one of them is in another unit" in word for word in trace.warnings) is not right


def test_the_person_who_leaves_the_charge_out_has_the_last_word(tmp_path: Path) -> None:
    flight(tmp_path, instead=TENTHS)
    said = {"pack current": "pack_current_a:mA", "charge used (mAh)": "ignore"}
    assert read_trace(tmp_path / "log.csv", gearing=GEARING, mapping=said, remember=False).has("pack_current_a")


@pytest.mark.parametrize(("unit", "contradicts"), [("mA", True), ("A", False), ("", False)])
def test_a_said_unit_that_the_heading_contradicts_is_told(unit: str, contradicts: bool, tmp_path: Path) -> None:
    flight(tmp_path)
    said = {"pack current (A)": f"pack_current_a:{unit}"}
    trace = read_trace(tmp_path / "log.csv", gearing=GEARING, mapping=said, remember=False)
    assert any("though its heading says A" in word for word in trace.warnings) is contradicts


def test_against_a_wrong_word_the_unit_of_the_heading_is_offered(tmp_path: Path) -> None:
    flight(tmp_path)
    said = {"pack current (A)": "pack_current_a:mA"}
    trace = read_trace(tmp_path / "log.csv", gearing=GEARING, mapping=said, remember=False)
    assert not trace.has("pack_current_a")
    assert any('--column "pack current (A)=pack_current_a:A"' in word for word in trace.warnings)
