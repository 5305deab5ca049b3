import pytest

from steadyhead.machine.reading import machine_from_text
from steadyhead.plan.choices import packs, pinions
from steadyhead.plan.figures import AT
from steadyhead.plan.modes import mode_plan
from steadyhead.plan.solved import solve
from steadyhead.words.verdict import worst
from tests.unit.plan.sample import ONE_MODE, fox, fox_solved


@pytest.fixture(scope="module")
def teeth():
    return {choice.pinion_teeth: choice for choice in pinions(fox_solved())}


def test_pinions_run_four_teeth_either_way(teeth):
    fitted = int(fox().gears.pinion_teeth.number)
    assert sorted(teeth) == list(range(fitted - 4, fitted + 5))
    assert [choice.current for _, choice in sorted(teeth.items())].index(True) == 4
    assert sorted(choice.rank for choice in teeth.values()) == list(range(1, 10))


def test_impossible_pinions_are_left_out():
    small = machine_from_text(
        ONE_MODE.replace("pinion_teeth = 13", "pinion_teeth = 9").replace("117", "12"), "small.toml"
    )
    assert sorted(choice.pinion_teeth for choice in pinions(solve(small))) == [8, 9, 10, 11]


def test_the_pinion_fitted_ends_as_the_plan_does(teeth):
    fitted = next(choice for choice in teeth.values() if choice.current)
    modes = [mode_plan(fox_solved(), mode) for mode in range(len(fox().flight_mode))]
    assert fitted.verdict is worst(mode.verdict for mode in modes)
    figures = fox_solved().central.figures
    assert fitted.least_head_room == pytest.approx(figures[..., AT["head_room"]].min())
    assert fitted.flight_time_s == pytest.approx(min(mode.flight_time_s for mode in modes))


def test_more_teeth_leave_more_head_room_and_hover_at_less_duty(teeth):
    ordered = [choice for _, choice in sorted(teeth.items())]
    rooms = [choice.least_head_room for choice in ordered]
    duties = [choice.hover_duty for choice in ordered]
    assert rooms == sorted(rooms)
    assert duties == sorted(duties, reverse=True)


def test_another_pinion_is_what_a_machine_with_it_would_be(teeth):
    other = solve(fox().replaced({"gears.pinion_teeth": 15.0}))
    figures = other.central.figures
    assert teeth[15].least_head_room == pytest.approx(figures[..., AT["head_room"]].min(), rel=1e-12)
    assert teeth[15].peak_pack_current_a == pytest.approx(figures[..., AT["pack_current_a"]].max(), rel=1e-12)


def test_every_choice_says_why(teeth):
    for choice in (*teeth.values(), *packs(fox_solved())):
        assert choice.reasons
        assert all(choice.reasons)


def test_a_tired_pack_ranks_behind_the_same_pack_when_fresh():
    ranked = {choice.name: choice for choice in packs(fox_solved())}
    fresh = next(choice for choice in ranked.values() if choice.current)
    tired = next(choice for name, choice in ranked.items() if "tired" in name)
    assert fresh.rank < tired.rank
    assert fresh.least_head_room > tired.least_head_room
    assert fresh.flight_time_s > tired.flight_time_s


def test_a_heavier_pack_is_carried_by_the_rotor():
    row = '[[pack_choice]]\nname = "{}"\ncells = 12\ncapacity = "{} mAh"\nresistance = "30 mohm"\nmass = "{} g"\n'
    text = ONE_MODE.replace('"3300 mAh"', '"3300 mAh"\nresistance = "30 mohm"')
    light, heavy = row.format("light", 3300, 1000), row.format("heavy", 3301, 1300)
    ranked = {choice.name: choice for choice in packs(solve(machine_from_text(text + light + heavy, "two.toml")))}
    assert ranked["light"].current
    assert ranked["heavy"].flight_time_s < 0.99 * ranked["light"].flight_time_s


def test_a_pack_without_its_mass_says_that_the_weight_was_left_as_it_is():
    more = '[[pack_choice]]\nname = "other"\ncells = 12\ncapacity = "4000 mAh"\n'
    ranked = packs(solve(machine_from_text(ONE_MODE + more, "other.toml")))
    assert {choice.name for choice in ranked} == {"the pack fitted", "other"}
    other = next(choice for choice in ranked if choice.name == "other")
    assert any("mass" in reason for reason in other.reasons)
