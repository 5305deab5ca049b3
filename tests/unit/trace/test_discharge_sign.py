"""Discharge that is logged the wrong way round is turned in plain sight, or left out."""

from pathlib import Path

import numpy as np
import pytest

from tests.unit.trace.flights import CURRENT_A, ROWS, USED_MAH, flight

NEEDS_NOTHING_ELSE = ("pack voltage (V)", "charge used (mAh)", "duty (%)")


def test_a_negative_discharge_is_turned_round_and_said(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"pack current (A)": {"battery current (A)": -CURRENT_A}})
    assert trace.channels["pack_current_a"] == pytest.approx(CURRENT_A, abs=1e-3)
    assert any("turned round" in said for said in trace.warnings)
    assert next(c.confidence for c in trace.columns if c.channel == "pack_current_a") == "doubtful"


def test_without_anything_that_tells_its_sense_it_is_left_out(tmp_path: Path) -> None:
    trace = flight(
        tmp_path, instead={"pack current (A)": {"battery current (A)": -CURRENT_A}}, without=NEEDS_NOTHING_ELSE
    )
    assert not trace.has("pack_current_a")
    assert any("negative most of the time" in said for said in trace.warnings)


@pytest.mark.parametrize("charge", [USED_MAH, None], ids=["with a count", "by the sag alone"])
def test_a_pack_that_rests_longest_when_it_is_empty_is_discharged_all_the_same(
    charge: np.ndarray | None, tmp_path: Path
) -> None:
    """At rest behind the flight the pack reads less than under load before: what it lost is taken out first."""
    current = np.where((np.arange(ROWS) > 20) & (np.arange(ROWS) < 180), CURRENT_A.max(), 0.0)
    volts = 50.0 - 0.03 * current - 5.0 * np.cumsum(current) / current.sum()
    instead = {"pack current (A)": {"current (A)": -current}, "pack voltage (V)": {"pack voltage (V)": volts}}
    gone = ("charge used (mAh)", "duty (%)")
    trace = flight(tmp_path, instead=instead, without=gone if charge is None else ())
    assert trace.has("pack_current_a")
    assert trace.channels["pack_current_a"].max() > 20.0


def test_charging_is_not_turned_into_a_flight(tmp_path: Path) -> None:
    volts = 44.0 + 0.03 * CURRENT_A + 4.0 * np.cumsum(CURRENT_A) / CURRENT_A.sum()
    instead = {"pack current (A)": {"current (A)": -CURRENT_A}, "pack voltage (V)": {"pack voltage (V)": volts}}
    assert not flight(tmp_path, instead=instead, without=("duty (%)",)).has("pack_current_a")


def test_a_current_that_is_negative_for_a_moment_is_believed(tmp_path: Path) -> None:
    braked = np.where(np.arange(ROWS) > 390, -3.0, CURRENT_A)
    trace = flight(tmp_path, instead={"pack current (A)": {"battery current (A)": braked}})
    assert trace.channels["pack_current_a"][-1] == pytest.approx(-3.0)
    assert trace.warnings == ()


@pytest.mark.parametrize("full", [0.0, 3300.0])
def test_a_charge_that_counts_down_is_turned_round_and_said(full: float, tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"charge used (mAh)": {"charge (mAh)": full - USED_MAH}})
    assert trace.channels["charge_used_mah"][-1] == pytest.approx(USED_MAH[-1] - USED_MAH[0], abs=0.01)
    assert any("counts down" in said for said in trace.warnings)


def test_a_charge_left_that_grows_is_left_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"charge used (mAh)": {"charge remaining (mAh)": USED_MAH}})
    assert not trace.has("charge_used_mah")
    assert any("charge remaining (mAh): left out" in said for said in trace.warnings)


def test_a_current_that_its_own_charge_contradicts_is_not_used(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"pack current (A)": {"current": 10.0 * CURRENT_A}})
    assert not trace.has("pack_current_a")
    assert any("another unit" in said for said in trace.warnings)
