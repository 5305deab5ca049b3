"""Why a column with a meaning gives no channel, in words for a flyer."""

import numpy as np

from steadyhead.trace.converting import WARM_FROM_THE_START_C, coolest, counts_cells, fits_the_pack
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.impossible import level_of
from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import Claim
from steadyhead.trace.trace import Series
from steadyhead.trace.units import PARTS_OF_AN_AMPERE

_KELVIN_FROM = 150.0
"""No machine is so cold in kelvin, nor so hot from its start in °F or °C."""


def why_not(claim: Claim, gearing: Gearing) -> str:
    """Return the end of a sentence that says why a claim was not converted, and how to use its column all the same."""
    unit, name, meaning = claim.heading.unit, claim.heading.text, claim.meaning
    if unit is not None and unit.other_factor is not None:
        return (
            f"whether {unit.said} means to multiply or to divide its figures do not tell: "
            f'--column "{option_for(name, meaning, unit.key)}"'
        )
    if meaning.startswith("charge_"):
        return "it does not count what was taken from the pack"
    if meaning == "pack_current_a" and unit is None:
        return f"it has no unit, and is too large for amperes: {_peaks(name, meaning, claim)}"
    if meaning == "duty":
        return f'what it is at full duty is not said: --column "{option_for(name, "duty", "0..255")}"'
    values = claim.column.number if claim.column.number is not None else np.empty(0)
    if meaning.endswith("_temperature_c") and unit is None and coolest(values) >= WARM_FROM_THE_START_C:
        units = ("°F", "°C") if coolest(values) < _KELVIN_FROM else ("K", "1/10 °C", "°F")
        options = " or ".join(f'--column "{option_for(name, meaning, said)}"' for said in units)
        return f"it has no unit, and {coolest(values):.0f} °C from first row to last is hardly what it means: {options}"
    if meaning in ("lowest_cell_v", "cell_voltage_v") and counts_cells(values):
        return "it holds whole numbers only: the number of a cell, not its voltage"
    if (level_v := misfit_voltage_v(claim, gearing)) is not None:
        right = "right would be a voltage for that pack, or the pack's cells in the machine file"
        return f"{level_v:.3g} V does not fit a pack of {gearing.cells:g} cells; {right}"
    cells = meaning.endswith("_v") and claim.heading.words & {"voltage", "cell", "lowest"}
    return "the number of cells is not known" if cells else "its unit or range is not understood"


def misfit_voltage_v(claim: Claim, gearing: Gearing) -> float | None:
    """Return the level of a pack voltage that fits no pack of the file's cells, V; None for one that fits, or another.

    Valid: a claim that was not converted.
    """
    if claim.meaning != "pack_voltage_v" or claim.column.number is None:
        return None
    level_v = _level_v(claim, claim.column.number)
    return None if fits_the_pack(level_v, gearing) else level_v


def _peaks(name: str, meaning: str, claim: Claim) -> str:
    """Return what the peak would be in each part of an ampere, with the option that says so."""
    values = claim.column.number if claim.column.number is not None else np.empty(0)
    peak = level_of(np.abs(values))
    return ", ".join(
        f'in {part} its peak is {peak * amperes:.3g} A: --column "{option_for(name, meaning, part)}"'
        for part, amperes in PARTS_OF_AN_AMPERE.items()
    )


def _level_v(claim: Claim, values: Series) -> float:
    return level_of(values) * (claim.heading.unit.factor if claim.heading.unit is not None else 1.0)
