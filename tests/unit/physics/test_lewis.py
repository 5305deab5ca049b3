import math

import pytest

from steadyhead.physics.lewis import Mesh, form_factor, mesh_stresses, velocity_factor

MESH = Mesh(pinion_teeth=13.0, gear_teeth=117.0, module_m=0.8e-3, face_m=9e-3)


def test_stress_grows_with_torque_in_proportion():
    once, twice = mesh_stresses(MESH, 0.5, 1800.0), mesh_stresses(MESH, 1.0, 1800.0)
    assert twice == pytest.approx((2.0 * once[0], 2.0 * once[1]))


def test_the_pinion_tooth_bends_more_than_that_of_the_gear_by_their_form_factors():
    pinion, gear = mesh_stresses(MESH, 0.5, 1800.0)
    assert pinion / gear == pytest.approx(form_factor(117.0) / form_factor(13.0))


def test_stress_falls_with_the_square_of_the_module_at_rest():
    small, large = mesh_stresses(MESH, 0.5, 0.0)[0], mesh_stresses(MESH._replace(module_m=1.6e-3), 0.5, 0.0)[0]
    assert small / large == pytest.approx(4.0)


def test_no_speed_adds_nothing():
    assert velocity_factor(0.0) == 1.0


@pytest.mark.parametrize("gone", ["module_m", "face_m"])
def test_a_mesh_that_nobody_stated_has_no_stress(gone):
    assert all(math.isnan(value) for value in mesh_stresses(MESH._replace(**{gone: math.nan}), 0.5, 1800.0))


def test_a_torque_that_nobody_knows_has_no_stress():
    assert math.isnan(mesh_stresses(MESH, math.nan, 1800.0)[0])


def test_a_pinion_below_the_table_leaves_only_its_own_stress_unknown():
    pinion, gear = mesh_stresses(MESH._replace(pinion_teeth=10.0), 0.5, 1800.0)
    assert math.isnan(pinion)
    assert gear > 0.0


def test_an_overrunning_head_does_not_bend_the_teeth():
    assert mesh_stresses(MESH, -1.0, 1800.0) == (0.0, 0.0)
