from itertools import pairwise

import pytest

from steadyhead.physics.pack import (
    Pack,
    cell_open_circuit,
    charge_after,
    charge_factor,
    pack_source,
    slow_voltage_after,
    temperature_factor,
)

PACK = Pack(12.0, 5.0 * 3600.0, 0.030, 0.015, 20.0)


def test_a_full_cell_rests_at_4_2_volts_and_one_at_a_fifth_near_3_7():
    assert cell_open_circuit(1.0) == pytest.approx(4.2, abs=0.001)
    assert cell_open_circuit(0.2) == pytest.approx(3.70, abs=0.01)


def test_cell_voltage_never_falls_with_charge():
    volts = [cell_open_circuit(step / 1000.0) for step in range(1001)]
    assert all(later > earlier for earlier, later in pairwise(volts))


def test_charge_outside_its_range_reads_as_empty_or_full():
    assert cell_open_circuit(1.2) == cell_open_circuit(1.0)
    assert cell_open_circuit(-0.1) == cell_open_circuit(0.0)


def test_a_pack_at_5_c_has_about_double_the_resistance():
    assert temperature_factor(278.15) == pytest.approx(2.0, rel=0.1)


def test_resistance_rises_towards_empty():
    assert charge_factor(0.05) > 1.5 > charge_factor(0.2) > charge_factor(0.9) > 1.0 - 1e-12


def test_the_pack_is_cells_in_series_behind_its_resistance():
    source = pack_source(PACK, 0.5, 298.15, 0.0)
    assert source.open_circuit_v == pytest.approx(12.0 * cell_open_circuit(0.5), rel=1e-12)
    assert source.resistance_ohm == pytest.approx(0.030, rel=1e-4)


def test_a_load_held_long_meets_the_slow_resistance_too():
    assert pack_source(PACK, 0.5, 298.15, 1e6).resistance_ohm == pytest.approx(0.045, rel=1e-4)


def test_the_slow_voltage_can_be_stepped_in_any_pieces():
    whole = slow_voltage_after(0.1, 30.0, 0.01, 20.0, 12.0)
    pieces = slow_voltage_after(slow_voltage_after(0.1, 30.0, 0.01, 20.0, 5.0), 30.0, 0.01, 20.0, 7.0)
    assert pieces == pytest.approx(whole, rel=1e-12)


def test_an_hour_at_one_c_empties_the_pack():
    assert charge_after(1.0, 5.0, PACK.capacity_as, 3600.0) == pytest.approx(0.0, abs=1e-12)
