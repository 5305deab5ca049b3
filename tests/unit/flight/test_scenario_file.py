import pytest

from steadyhead.flight.commands import COLLECTIVE, HEIGHT, LOAD_FACTOR, TARGET, commands
from steadyhead.flight.scenario_file import BUNDLED, read_scenario, scenario_from_text
from steadyhead.words.errors import InputError
from tests.unit.flight.rigs import flown_text, fox_rig

HEAD = 'name = "x"\nstart = "hover"\nswitch = "mode 1"\nheight = "10 m"\n'


@pytest.mark.parametrize("name", BUNDLED)
def test_every_bundled_scenario_says_what_it_is(name):
    scenario = read_scenario(name)
    assert scenario.says
    assert scenario.steps
    assert scenario.duration_s > 5.0


def test_the_bundled_scenarios_are_the_trade_s_usual_ones():
    wanted = {
        "autorotation", "bail_out", "bench_spool_up", "climb_out", "cyclic_load", "glide", "hold", "hover",
        "mode_change", "pitch_pumps", "soft_start", "whole_flight",
    }  # fmt: skip
    assert wanted <= set(BUNDLED)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[step]]\ndo = 'hover'\n", ["line 5", "step 1", "without for"]),
        ("[[step]]\ndo = 'hoover'\nfor = '5 s'\n", ["step 1", "hover?"]),
        ("[[step]]\ndo = 'hover'\nfor = '5'\n", ["line 7", "step 1", "for", "without a unit"]),
        ("[[step]]\ndo = 'hover'\nfor = '0 s'\n", ["step 1", "for"]),
        ("[[step]]\ndo = 'hover'\nfor = '5 kg'\n", ["step 1", "for"]),
        ("[[step]]\ndo = 'hover'\nfor = '5 s'\nhight = '3 m'\n", ["line 8", "step 1", "height?"]),
        ("[[step]]\ndo = 'hover'\nfor = '5 s'\n[[step]]\ndo = 'wait'\nfor = '-1 s'\n", ["line 10", "step 2"]),
        ("step = 3\n", ["step"]),
        ("fly = 3\n[[step]]\ndo = 'wait'\nfor = '5 s'\n", ["line 5", "fly"]),
        ("blades = 'yes'\n[[step]]\ndo = 'wait'\nfor = '5 s'\n", ["blades", "true or false"]),
        ("charge = 1.4\n[[step]]\ndo = 'wait'\nfor = '5 s'\n", ["charge"]),
        ("[[step\n", ["not TOML"]),
    ],
)
def test_a_wrong_scenario_is_refused_with_file_step_and_key(text, words):
    with pytest.raises(InputError) as caught:
        scenario_from_text(HEAD + text, "test.toml")
    assert "test.toml" in str(caught.value)
    for word in words:
        assert word in str(caught.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[step]]\ndo = 'climb'\ncollective = '16 deg'\nfor = '1 s'\n", ["step 1", "collective", "12 deg"]),
        ("[[step]]\ndo = 'wait'\nswitch = 'mode 7'\nfor = '1 s'\n", ["step 1", "mode 7", "did you mean"]),
        (
            "[[step]]\ndo = 'wait'\nfor = '1 s'\n[[step]]\ndo = 'hover'\nswitch = 'hold'\nfor = '1 s'\n",
            ["step 2", "hover", "throttle hold"],
        ),
        ("[[step]]\ndo = 'cyclic'\nload_factor = 8\nfor = '1 s'\n", ["step 1", "load_factor", "stall"]),
        ("blades = false\nstart = 'rest'\n[[step]]\ndo = 'pump'\nfor = '1 s'\n", ["step 1", "blades off"]),
    ],
)
def test_an_impossible_step_is_named_before_anything_is_flown(text, words):
    body = HEAD.replace('start = "hover"\n', "") if "start" in text else HEAD
    with pytest.raises(InputError) as caught:
        flown_text(body + text)
    for word in words:
        assert word in str(caught.value)


def test_an_unknown_scenario_name_offers_the_nearest():
    with pytest.raises(InputError, match="did you mean hover"):
        read_scenario("hovver")


def test_steps_become_rows_at_the_pulse_frame():
    rig = fox_rig()
    scenario = scenario_from_text(
        HEAD + "[[step]]\ndo = 'hover'\nheight = '10 m'\nfor = '1 s'\n"
        "[[step]]\ndo = 'collective'\nswitch = 'mode 2'\ncollective = '4 deg'\nover = '0.5 s'\nfor = '1 s'\n"
        "[[step]]\ndo = 'cyclic'\nload_factor = 2\nperiod = '0.5 s'\nfor = '1 s'\n",
        "test.toml",
    )
    rows = commands(scenario, rig, 0.0)
    assert rows.shape[0] == round(3.0 / 0.02)
    assert rows[10, HEIGHT] == 10.0
    assert rows[60, TARGET] == 70.0
    assert rows[49, TARGET] == 57.0
    assert rows[99, COLLECTIVE] == pytest.approx(0.0698, rel=1e-3)
    assert rows[100:, LOAD_FACTOR].max() == 2.0
    assert rows[100:, LOAD_FACTOR].min() == -2.0
