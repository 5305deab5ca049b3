"""Allowable bending stress of plastic gears: tests/data/gears/gear_material_allowables.csv.

The plastic-gear table repeated in Machinery's Handbook (from memory). It sets no limit here: a limit is the owner's.
It tells whether figures of a machine of this size lie where such gears are used.
"""

from steadyhead.machine.bundled import bundled
from steadyhead.machine.kind import Kind
from steadyhead.machine.quantity import parsed
from steadyhead.machine.reading import read_machine
from steadyhead.machine.units import FAMILIES
from tests.agrees import agrees
from tests.gear_rows import gear_rows

SAFE = [row for row in gear_rows("gear_material_allowables.csv") if row["quantity"] == "safe bending stress"]


def test_psi_and_mpa_of_the_table_are_the_same_stress() -> None:
    for row in SAFE:
        got = float(row["value"]) * FAMILIES["stress"]["psi"].factor * 1e-6
        because = "the SI column is rounded to three digits"
        assert agrees(got, float(row["value_SI"]), percent=0.25, because=because)


def test_a_limit_may_be_written_as_the_table_prints_it() -> None:
    declared = read_machine(bundled("fox600")).declared("gears.main_gear_stress_max")
    kind = declared.kind  # type: ignore[attr-defined]
    assert isinstance(kind, Kind)
    for row in SAFE:
        written = parsed(f"{row['value']} psi", kind)
        assert agrees(written.si * 1e-6, float(row["value_SI"]), percent=0.25, because="three digits in the SI column")
