"""`descend`: intervals that hold their figure, tables that agree with each other, unknown that is never pass."""

import math
from itertools import pairwise

import numpy as np
import pytest

from steadyhead.flight.descend import descend, head_speeds
from steadyhead.flight.descend_checks import checks_of
from steadyhead.flight.engine import flown
from steadyhead.flight.glide_curves import best_of
from steadyhead.flight.glider import glider
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.glide import glide_found
from steadyhead.physics.glide_near import glide_at_collective
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome

RPM = math.pi / 30.0
FOX = read_machine(bundled("fox600"))


@pytest.fixture(scope="module")
def fox():
    return descend(FOX)


def test_every_figure_lies_in_its_interval(fox):
    for one in fox.head_speeds:
        for point in one.points:
            if point.sink_m_s_interval:
                assert point.sink_m_s_interval[0] < point.sink_m_s < point.sink_m_s_interval[1]
        energy = one.energy
        for name in ("rotor_energy_j", "energy_height_m", "hover_time_s", "flare_reserve_s", "least_head_speed_rpm"):
            low, high = getattr(energy, f"{name}_interval")
            assert low < getattr(energy, name) < high


def test_the_best_points_are_the_best_of_the_points(fox):
    for one in fox.head_speeds:
        sinks = [point.sink_m_s for point in one.points if point.sink_m_s is not None]
        ratios = [point.forward_m_s / point.sink_m_s for point in one.points if point.sink_m_s is not None]
        if one.least_sink:
            assert min(sinks) - 0.1 < one.least_sink.sink_m_s <= min(sinks)
        if one.best_glide:
            assert max(ratios) <= one.best_glide.glide_ratio < 1.05 * max(ratios)


def test_the_ladder_of_vertical_descent_goes_through_every_state_in_order(fox):
    states = [row.state for row in fox.vertical]
    assert list(dict.fromkeys(states)) == ["normal", "vortex ring", "turbulent wake", "windmill"]
    powers = [row.shaft_power_w for row in fox.vertical]
    assert powers[0] > 0.0 > powers[-1]


def test_the_tunnel_stands_beside_and_1_8_is_never_this_machine(fox):
    seen = fox.tunnel
    assert seen.ideal_ratio < seen.tunnel_ratio[0] < seen.rotor_ratio < seen.machine_ratio
    assert seen.often_said_ratio < 0.9 * seen.machine_ratio


def test_no_autorotation_at_a_head_speed_says_why(fox):
    fast = fox.head_speeds[-1]
    assert fast.least_sink is None
    assert fast.points[0].why_none
    assert any("idle-up 2" in warning for warning in fox.warnings)


def test_what_if_moves_the_right_way(fox):
    row = {one.change: one for one in fox.what_if}
    base = row["as it is"]
    assert row["blades 10 % heavier"].rotor_energy_j == pytest.approx(1.1 * base.rotor_energy_j)
    assert row["blades 10 % heavier"].energy_height_m < 1.1 * base.energy_height_m
    assert row["tail not driven"].least_sink_m_s < base.least_sink_m_s
    assert row["head speed 10 % lower"].rotor_energy_j == pytest.approx(0.81 * base.rotor_energy_j)
    more = row["1° more collective: the rotor settles anew"]
    assert more.head_speed_rpm < base.head_speed_rpm
    assert more.collective_deg == pytest.approx(base.collective_deg + 1.0, abs=0.01)


def test_thin_air_makes_a_slow_rotor_sink_faster(fox):
    slow = [row for row in fox.airs if row.head_speed_rpm == pytest.approx(fox.head_speeds[0].head_speed_rpm)]
    assert slow[0].air == "air of the site"
    assert slow[-1].density_kg_m3 < slow[0].density_kg_m3
    assert slow[-1].vertical_sink_m_s > slow[0].vertical_sink_m_s


def test_a_glide_that_part_of_the_spread_does_not_have_is_unknown(fox):
    check = next(check for check in fox.checks if check.check == "glide_collective")
    assert check.verdict is Outcome.UNKNOWN
    assert fox.verdict is Outcome.UNKNOWN


def test_a_tail_of_which_nothing_is_said_is_never_a_pass(fox):
    silent = FOX.model_copy(update={"tail": FOX.tail.model_copy(update={"driven_in_autorotation": None})})
    check = next(check for check in checks_of(silent, fox.head_speeds) if check.check == "glide_tail_known")
    assert check.verdict is Outcome.UNKNOWN


def test_a_least_collective_that_does_not_reach_down_fails(fox):
    shallow = FOX.replaced({"rotor.collective_min": math.radians(-1.0)})
    slow = [one for one in fox.head_speeds if one.head_speed_rpm < 1800.0]
    check = next(check for check in checks_of(shallow, slow) if check.check == "glide_collective")
    assert check.verdict is Outcome.FAIL


def test_the_cautions_of_descent_come_first(fox):
    assert "never a permission" in fox.cautions[0]


def test_a_machine_without_flight_modes_is_refused():
    with pytest.raises(InputError, match="no flight mode"):
        descend(FOX.model_copy(update={"flight_mode": ()}))


def test_head_speeds_are_each_mode_s_own_and_two_slower():
    found = head_speeds(FOX) / RPM
    assert found == pytest.approx([0.7 * 1730.0, 0.85 * 1730.0, 1730.0, 1990.0, 2250.0])


def test_the_best_of_a_parabola_is_its_vertex_and_beside_a_gap_there_is_none():
    places = np.array([0.0, 2.0, 4.0, 6.0])
    assert best_of(places, (places - 3.3) ** 2 + 1.0) == pytest.approx((3.3, 1.0))
    assert all(math.isnan(part) for part in best_of(places, np.array([3.0, 2.0, math.nan, 1.0])))


def test_the_engine_settles_at_the_steady_glide(tmp_path):
    """Collective held at -2 degrees for 25 s: the flight in time must end where the steady search says."""
    path = tmp_path / "long.toml"
    path.write_text(
        'name = "long"\nsays = "long vertical autorotation"\nstart = "hover"\nswitch = "mode 1"\nheight = "390 m"\n'
        'charge = 0.8\n[[step]]\ndo = "hover"\nheight = "390 m"\nfor = "2 s"\n[[step]]\ndo = "collective"\n'
        'switch = "hold"\ncollective = "-2 deg"\nover = "0.3 s"\nfor = "25 s"\n',
        "utf-8",
    )
    flight = flown(FOX, read_scenario(str(path)))
    from steadyhead.flight.loop import COLUMNS

    end = flight.record[-2]
    head, climb = (float(end[COLUMNS.index(name)]) for name in ("head_rad_s", "climb_m_s"))
    craft = glider(FOX, 2250.0 * RPM)
    steady = glide_at_collective(craft, glide_found(craft, 1730.0 * RPM, 0.0), math.radians(-2.0))
    assert head == pytest.approx(steady.head_rad_s, rel=0.01)
    assert -climb == pytest.approx(steady.sink_m_s, rel=0.02)


def test_the_rotor_settles_slower_and_sinks_less_with_more_collective(fox):
    rows = fox.settled
    assert len(rows) > 8
    assert all(later.collective_deg > row.collective_deg for row, later in pairwise(rows))
    assert all(later.head_speed_rpm < row.head_speed_rpm for row, later in pairwise(rows))
    assert all(row.collective_deg == pytest.approx(round(row.collective_deg), abs=2e-3) for row in rows)
    known = [row for row in rows if row.head_speed_rpm_interval]
    assert len(known) >= 5
    for row in known:
        low, high = row.head_speed_rpm_interval
        assert low < row.head_speed_rpm < high


def test_the_settled_rows_agree_with_the_glide_at_that_head_speed(fox):
    row = next(row for row in fox.settled if row.collective_deg == pytest.approx(-3.0, abs=0.01))
    craft = glider(FOX, 2250.0 * RPM)
    assert glide_found(craft, row.head_speed_rpm * RPM, row.forward_m_s).sink_m_s == pytest.approx(
        row.sink_m_s, abs=0.02
    )


def test_a_slow_light_rotor_runs_away_near_the_stall_and_says_so():
    wren = descend(read_machine(bundled("wren450")).replaced({"flight_mode.1.head_speed": 1850.0 * RPM}))
    check = next(check for check in wren.checks if check.check == "glide_stable")
    slow = wren.head_speeds[0]
    assert any(point.stable is False or point.sink_m_s is None for point in slow.points)
    assert check.verdict is Outcome.FAIL
    assert "runs away" in check.reason
