"""The rotor's slowing after loss of power, against the closed form and the book's two examples.

R. W. Prouty, Helicopter Performance, Stability, and Control, 1986, pp. 348-350, in `rotor_speed_decay_checks.csv`:
shaft torque goes with the square of speed, so W/W0 = 1 / (1 + f t / (2 t_KE)), t_KE = J W0^2 / (2 P0).
The engine's free head is stepped with a torque that goes with speed squared.
"""

import math

import pytest

from steadyhead.flight.begin import hovering
from steadyhead.flight.rig import rig
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.craft import Held
from steadyhead.physics.shaft import free_head_rate
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

RIG = rig(read_machine(bundled("fox600")), blades_on=True)
START_RAD_S = 200.0
STEP_S = 1e-3


def slowed(kinetic_s: float, lost: float, time_s: float) -> float:
    """Share of its speed that the head keeps, stepped at the middle of each step as the engine does."""
    body = RIG.craft.body._replace(head_drag_nm=0.0)
    craft = RIG.craft._replace(body=body)
    torque_nm = lost * 0.5 * body.head_kg_m2 * START_RAD_S / kinetic_s
    speed, rate = START_RAD_S, 0.0
    for _ in range(round(time_s / STEP_S)):
        middle = speed + 0.5 * STEP_S * rate
        load = Held(0.0, torque_nm * (middle / START_RAD_S) ** 2, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        rate = free_head_rate(craft, load)
        speed += STEP_S * rate
    return speed / START_RAD_S


@pytest.mark.parametrize("row", rows("rotor_speed_decay_checks.csv"), ids=lambda row: row["case"] + row["t_s"])
def test_the_head_slows_as_the_closed_form_and_the_book_say(row):
    got = slowed(float(row["t_KE_s"]), float(row["lost_power_fraction"]), float(row["t_s"]))
    if row["source"] == "closed form":
        assert agrees(got, float(row["Omega_over_Omega0"]), percent=1e-3, because="steps of 1 ms, second order")
    else:
        assert agrees(got, float(row["Omega_over_Omega0"]), percent=3.0, because="the book rounds to whole per cent")


def test_the_engine_s_own_head_begins_to_slow_as_its_energy_and_power_say():
    now, _ = hovering(RIG, mode=1, channel_percent=70.0, height_m=50.0, charge=0.9)
    held = now.carried[0]
    body = RIG.craft.body
    kinetic_j = 0.5 * body.head_kg_m2 * now.state.head_rad_s**2
    power_w = (held.torque_nm + held.tail_nm + body.head_drag_nm) * now.state.head_rad_s
    assert free_head_rate(RIG.craft, held) == pytest.approx(
        -now.state.head_rad_s / (2.0 * kinetic_j / power_w), rel=1e-9
    )
    assert math.isfinite(power_w)
