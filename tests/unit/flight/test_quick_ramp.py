"""Spool-up and quick ramp: against an integration of its own, against the engine, and limits that nobody stated."""

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from steadyhead.flight.governor_case import bench
from steadyhead.flight.quick_ramp import QUICK, SOFT, ramp, ramp_point, ramp_setting, shortest_ramp
from steadyhead.flight.ramp_limits import GOVERNOR_ADDS, LIMITS, known_limits
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text
from steadyhead.physics.at_duty import torque_at_duty
from steadyhead.physics.drive import drive_at
from steadyhead.physics.gears import motor_torque
from steadyhead.physics.pack import pack_source
from steadyhead.physics.ramp import COLUMNS, bearing_peak, ramp_torque
from steadyhead.words.verdict import Limit, Outcome
from tests.unit.flight.governed import case, machine, ready

AT = {name: column for column, name in enumerate(COLUMNS)}
NAMES = ("wren450", "fox600", "heron520")


def setting(name, kind=QUICK, **changes):
    bench, hover = ready(name), case(name, "hover", 0.2).point
    made = ramp_setting(bench, kind, hover)
    return made if not changes else type(made)(
        drive=made.drive, load=made.load._replace(**changes), mesh=made.mesh, pack=made.pack
    )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_duty_of_the_ramp_brings_the_head_up_along_it(name):
    # Put the duty that the ramp asks at each speed into the equation of motion: the head must follow the ramp.
    one, ramp_s = setting(name), 1.5
    load, drive, gears = one.load, one.drive, one.drive.gears
    rate = load.speed_rad_s / ramp_s
    inertia = load.head_kg_m2 + gears.efficiency * gears.ratio**2 * load.motor_kg_m2
    winding_k = one.pack.start.winding_k
    source = pack_source(drive.pack, one.pack.charge, one.pack.pack_k, 0.0)

    def duty_at(head):
        pinion = motor_torque(gears, ramp_torque(load, head, rate)[1])
        torque = pinion + load.motor_kg_m2 * gears.ratio * rate
        return drive_at(drive.motor, drive.controller, source, torque, head * gears.ratio, winding_k).duty

    def motion(time_s, head):
        planned = min(rate * time_s, load.speed_rad_s)
        motor = torque_at_duty(
            drive.motor, drive.controller, source, duty_at(planned), gears.ratio * head[0], winding_k
        )
        square = (head[0] / load.speed_rad_s) ** 2
        held = square * (load.rotor_nm + load.tail_nm) + load.head_drag_nm + gears.drag_torque_nm
        return [(gears.efficiency * gears.ratio * motor - held) / inertia]

    solved = solve_ivp(motion, (0.0, ramp_s), [0.0], rtol=1e-8, atol=1e-8, max_step=0.02)
    assert solved.y[0, -1] == pytest.approx(load.speed_rad_s, rel=1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_torque_at_the_end_is_inertia_and_load(name):
    one = setting(name)
    row = one.peaks(np.array([1.0]))[0]
    load, gears = one.load, one.drive.gears
    whole = load.head_kg_m2 * load.speed_rad_s + load.rotor_nm + load.tail_nm + load.head_drag_nm
    assert row[AT["pinion_nm"]] == pytest.approx((whole + gears.drag_torque_nm) / (gears.ratio * gears.efficiency))
    assert row[AT["bearing_nm"]] == pytest.approx(whole - load.tail_nm * (1.0 - load.tail_on_head))


def test_a_longer_ramp_asks_less_of_everything_but_the_winding():
    rows = setting("fox600").peaks(np.geomspace(0.5, 12.0, 20))
    for name in ("motor_current_a", "pack_current_a", "duty", "pinion_stress_pa", "bearing_nm"):
        assert (np.diff(rows[:, AT[name]]) < 0.0).all(), name
    assert (np.diff(rows[:, AT["pack_voltage_v"]]) > 0.0).all()


def test_what_nobody_stated_is_unknown_and_never_a_pass():
    one = ramp(ready("wren450"), QUICK, case("wren450", "hover", 0.2).point, "normal", ())
    assert one.today_s is None
    assert one.verdict is Outcome.UNKNOWN
    assert {"gears.module", "gears.face_width", "gears.pinion_stress_max", "motor.current_max"} <= set(
        one.unknown_limits
    )
    assert one.curve[0].pinion_stress_mpa is None
    soft = ramp(ready("wren450"), SOFT, case("wren450", "hover", 0.2).point, "normal", ())
    verdicts = {check.check: check.verdict for check in soft.checks}
    assert verdicts["pinion_tooth"] is Outcome.UNKNOWN
    assert verdicts["controller_current"] is Outcome.PASS


def without(name, *keys):
    """Return a bundled machine made ready, some lines of its file left out."""
    lines = Path(bundled(name)).read_text("utf-8").splitlines(keepends=True)
    text = "".join(line for line in lines if line.split(" = ")[0] not in keys)
    return bench(machine_from_text(text, "fox.toml"), "normal")


def test_a_catch_up_whose_peak_is_unknown_leaves_teeth_and_bearing_unknown():
    bare = without("fox600", "one_way_play", "train_stiffness", "pinion_stress_max", "one_way_torque_max")
    one = ramp(bare, QUICK, case("fox600", "hover", 0.2).point, "normal", ())
    verdicts = {check.check: check for check in one.checks}
    assert one.today is not None
    assert one.today.pinion_stress_mpa is not None
    assert one.today.pinion_stress_peak_mpa is None
    assert verdicts["pinion_tooth"].verdict is Outcome.UNKNOWN
    assert "gears.train_stiffness" in verdicts["pinion_tooth"].needs


def test_stated_limits_of_teeth_and_bearing_are_judged_and_unstated_ones_are_not():
    stated, bare = (
        {check.check: check for check in ramp(ready(name), SOFT, case(name, "hover", 0.2).point, "normal", ()).checks}
        for name in ("fox600", "heron520")
    )
    for check in ("pinion_tooth", "main_gear_tooth", "one_way_torque"):
        assert stated[check].verdict is Outcome.PASS
        assert stated[check].figure is not None
        assert bare[check].verdict is Outcome.UNKNOWN
    # A catch-up loads the teeth about twice as much as the ramp alone: the invented plastic gear does not carry that.
    quick = ramp(ready("fox600"), QUICK, case("fox600", "hover", 0.2).point, "normal", ())
    worst_of = {check.check: check for check in quick.checks}
    assert worst_of["main_gear_tooth"].verdict is Outcome.FAIL
    assert worst_of["one_way_torque"].verdict is Outcome.PASS


def test_the_shortest_ramp_is_the_first_that_holds_when_all_are_run():
    one, times = setting("fox600"), np.geomspace(0.2, 12.0, 41)
    currents = one.peaks(times)[:, AT["motor_current_a"]]
    known = {"motor_current": Limit(value=0.5 * float(currents[0] + currents[-1]), unit="A", origin="test")}
    holds = [ramp_point(1.0, row, known).keeps_known_limits for row in one.peaks(times)]
    first = holds.index(True)
    assert 0 < first < len(times) - 1
    assert times[first - 1] < shortest_ramp(one, known, times)[0] <= times[first]


def test_the_shortest_ramp_stands_on_the_limit_that_sets_it():
    one, stated = setting("fox600"), known_limits(machine("fox600"))
    known = {check: limit for check, limit in stated.items() if not check.endswith(("tooth", "one_way_torque"))}
    times = np.geomspace(0.2, 12.0, 41)
    shortest, set_by = shortest_ramp(one, known, times)
    assert shortest is not None
    assert set_by == "motor_current"
    row = one.peaks(np.array([shortest]))[0]
    with_swing = row[AT["motor_current_a"]] * (1.0 + GOVERNOR_ADDS)
    assert with_swing == pytest.approx(known["motor_current"].value, rel=1e-3)
    assert with_swing <= known["motor_current"].value
    # An owner who knows what the teeth carry gets a longer ramp.
    teeth = known | {"pinion_tooth": Limit(value=400.0, unit="MPa", origin="test")}
    longer, now_by = shortest_ramp(one, teeth, times)
    assert now_by == "pinion_tooth"
    assert longer is not None
    assert longer > shortest


def test_no_ramp_keeps_a_limit_below_what_the_hover_takes():
    known = {"motor_current": Limit(value=1.0, unit="A", origin="test")}
    assert shortest_ramp(setting("fox600"), known, np.geomspace(0.2, 12.0, 41)) == (None, "motor_current")


def test_play_and_stiffness_make_the_catch_up_known_and_hard():
    one = setting("fox600", one_way_play_rad=math.radians(2.0), stiffness_nm_rad=300.0)
    row = one.peaks(np.array([1.0]))[0]
    carried, peak = row[AT["bearing_nm"]], row[AT["bearing_peak_nm"]]
    # Twice the torque carried already without a gap in speed, and a little more for the gap.
    assert peak > 2.0 * carried
    assert row[AT["pinion_peak_pa"]] > row[AT["pinion_stress_pa"]]
    none = one.load._replace(one_way_play_rad=0.0)
    assert bearing_peak(none, one.drive.gears, carried, 200.0) == pytest.approx(2.0 * carried)


def test_from_rest_nothing_is_caught():
    row = setting("fox600", SOFT).peaks(np.array([15.0]))[0]
    assert row[AT["bearing_peak_nm"]] == row[AT["bearing_nm"]]
    assert row[AT["pinion_peak_pa"]] == pytest.approx(row[AT["pinion_stress_pa"]])


def test_a_ramp_that_full_duty_cannot_follow_is_not_reached():
    one = ramp(ready("wren450", "idle-up 2"), QUICK, case("wren450", "hover", 0.2, "idle-up 2").point, "idle-up 2", ())
    assert not one.curve[0].reached
    assert not one.curve[0].keeps_known_limits
    assert one.curve[-1].reached


def test_every_limit_has_its_key_in_the_machine_file():
    for item in LIMITS:
        machine("fox600").declared(item.key)
        for key in item.needs:
            machine("fox600").declared(key)
