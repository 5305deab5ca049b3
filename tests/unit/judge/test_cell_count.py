"""A count of cells in the machine file that the pack voltage of the log contradicts."""

import numpy as np
import pytest

from steadyhead.words.verdict import Verdict
from tests.unit.judge.test_telemetry import flight, judged

FILE_CELLS = 12


def packed(cells: int, *, weakest: bool = False, used_mah: float = 2000.0, full_v: float = 4.18) -> dict[str, Verdict]:
    """A flight on a pack of so many cells, judged by a machine file that says 12."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    drawn = np.where(channels["duty"] > 0.1, 60.0, 0.3)
    used = np.cumsum(drawn) * 0.02 / 3600.0
    used *= used_mah / 1000.0 / used[-1]
    cell = np.interp(used / 4.0, [0.0, 0.2, 0.5, 0.9], [full_v, 3.88, 3.78, 3.55])
    channels |= {
        "pack_current_a": drawn,
        "pack_voltage_v": cells * cell - 0.02 * drawn,
        "charge_used_mah": 1000.0 * used,
    }
    if weakest:
        channels["lowest_cell_v"] = cell - 0.01 - 0.02 / cells * drawn
    return {found.check: found for found in judged(t, channels).checks}


def test_the_right_count_is_judged() -> None:
    for weakest in (False, True):
        got = packed(FILE_CELLS, weakest=weakest)
        assert got["cell_voltage"].verdict == "pass"
        assert got["charge_left"].verdict == "pass"
    assert packed(FILE_CELLS, full_v=4.35)["cell_voltage"].verdict == "pass"


@pytest.mark.parametrize("cells", [13, 14])
def test_more_volts_than_such_cells_have_never_pass(cells: int) -> None:
    got = packed(cells)
    for name in ("cell_voltage", "charge_left"):
        assert got[name].verdict == "unknown"
        assert "the count of cells is not right" in got[name].reason
        assert any("pack.cells" in need for need in got[name].needs)


def test_a_weakest_cell_above_the_mean_speaks_against_the_count() -> None:
    got = packed(11, weakest=True)
    assert got["cell_voltage"].verdict == "pass"
    assert got["charge_left"].verdict == "unknown"
    assert "the weakest cell read" in got["charge_left"].reason


@pytest.mark.parametrize("full_v", [4.12, 4.18])
def test_a_full_pack_of_fewer_cells_is_no_empty_one(full_v: float) -> None:
    got = packed(10, used_mah=2800.0, full_v=full_v)
    assert got["charge_left"].verdict == "unknown"
    assert "a full pack of 10 cells" in got["charge_left"].reason


def test_an_empty_pack_still_fails() -> None:
    assert packed(FILE_CELLS, used_mah=3900.0)["charge_left"].verdict == "fail"
