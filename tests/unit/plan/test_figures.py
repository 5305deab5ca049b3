import numpy as np
import pytest

from steadyhead.machine import si
from steadyhead.plan.figures import AT, FIGURES, HELD_CODE, powertrain, solution
from steadyhead.plan.loads import LOADS
from steadyhead.plan.solved import solve
from tests.unit.plan.sample import fox, fox_solved


def column(name):
    return fox_solved().central.figures[..., AT[name]]


def test_every_figure_has_a_number_but_the_figure_of_merit_of_forward_flight():
    for name in FIGURES:
        figures = column(name)
        if name == "figure_of_merit":
            figures = np.delete(figures, LOADS.index("fast forward"), axis=1)
        assert np.all(np.isfinite(figures)), name


def test_pack_power_goes_into_rotors_gears_and_losses():
    parts = ("rotor_power_w", "tail_power_w", "gear_power_w", "motor_loss_w", "controller_loss_w")
    assert sum(column(name) for name in parts) == pytest.approx(column("pack_power_w"), rel=1e-9)


def test_gears_take_what_their_efficiency_and_drag_say():
    gears = si.gears(fox())
    through = column("rotor_power_w") + column("tail_power_w")
    speed = column("motor_rpm") * np.pi / 30.0 / gears.ratio
    wanted = through * (1.0 / gears.efficiency - 1.0) + gears.drag_torque_nm * speed / gears.efficiency
    assert column("gear_power_w") == pytest.approx(wanted, rel=1e-9)


def test_a_head_speed_that_is_not_held_shows_the_figures_at_full_duty():
    freezing = solve(fox().replaced({"pack.cold": 274.0})).central.figures
    at_the_ceiling = freezing[..., AT["drive_code"]] > HELD_CODE
    assert at_the_ceiling.any()
    assert np.all(freezing[..., AT["head_room"]][at_the_ceiling] < 0.0)
    ceiling = freezing[..., AT["ceiling_rpm"]][at_the_ceiling]
    assert np.all(ceiling < freezing[..., AT["head_speed_rpm"]][at_the_ceiling])
    motor = ceiling * si.gears(fox()).ratio
    assert freezing[..., AT["motor_rpm"]][at_the_ceiling] == pytest.approx(motor)


def test_a_head_speed_below_its_ceiling_is_held():
    held = column("drive_code") <= HELD_CODE
    assert np.all((column("ceiling_rpm") >= column("head_speed_rpm")) == held)


def test_a_short_load_is_hotter_than_the_hover_it_begins_from():
    winding = column("winding_temperature_c")
    assert np.all(winding[:, LOADS.index("climb")] > winding[:, LOADS.index("hover")])


def test_long_loads_are_held_for_their_whole_flight_and_short_ones_for_the_stated_time():
    held = column("held_for_s")
    assert held[:, LOADS.index("hover")] == pytest.approx(
        np.repeat(fox_solved().central.hover_time_s[:, None], held.shape[2], axis=1)
    )
    assert np.all(held[:, LOADS.index("climb")] == si.number(fox(), "limits.load_held"))


def test_half_the_capacity_flies_half_as_long():
    solved = fox_solved()
    half = fox().replaced({"pack.capacity": si.number(fox(), "pack.capacity") / 2.0})
    short = solution(solved.asked, solved.craft, powertrain(half)).hover_time_s
    # The winding is a little cooler after a shorter flight, which saves a few parts in ten thousand.
    assert short == pytest.approx(solved.central.hover_time_s / 2.0, rel=2e-3)


def test_a_weight_that_the_rotor_cannot_carry_flies_no_time():
    slow = fox().replaced({"airframe.mass": 15.0, "flight_mode.1.head_speed": 60.0})
    solved = solve(slow)
    assert solved.asked.code[0, 0] != 0
    assert solved.central.hover_time_s[0] == 0.0
