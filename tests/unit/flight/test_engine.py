import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from steadyhead.flight.assumed import GAINS
from steadyhead.flight.engine import flown
from steadyhead.flight.rig import quick_enough
from steadyhead.flight.scenario_file import BUNDLED, read_scenario
from steadyhead.judge.flown import simulated
from steadyhead.judge.judging import judge
from steadyhead.physics.kernel import KERNEL_FOLDERS, sources_digest
from steadyhead.physics.run_state import Run
from steadyhead.words.errors import InputError, SteadyheadError
from steadyhead.words.value import Origin
from steadyhead.words.verdict import Outcome
from tests.unit.flight.rigs import column, flight, flown_text, fox, good_fox

MANOEUVRES = """
name = "test"
start = "hover"
switch = "mode 2"
height = "40 m"
charge = 0.9
[[step]]
do = "hover"
height = "40 m"
for = "1 s"
[[step]]
do = "climb"
collective = "9 deg"
for = "1 s"
[[step]]
do = "collective"
collective = "2 deg"
for = "1 s"
[[step]]
do = "hover"
for = "1 s"
"""


@pytest.mark.parametrize("name", BUNDLED)
def test_every_bundled_scenario_runs_to_its_end_and_every_joule_is_accounted_for(name):
    done = flight(name)
    assert done.whole
    assert abs(done.energy_gap_j) < 1e-9 * done.energy_j["cells_j"]
    for channel, series in done.trace.channels.items():
        assert np.isfinite(series).all(), channel


def test_the_books_hold_more_than_one_kind_of_energy():
    books = flight("whole_flight").energy_j
    for name in ("copper_j", "iron_j", "gears_j", "tail_j", "rotor_j", "drag_j", "bearing_j", "ground_j", "pack_j"):
        assert books[name] > 0.0, name


def test_a_flight_is_the_same_every_time():
    one, other = flown_text(MANOEUVRES), flown_text(MANOEUVRES)
    assert np.array_equal(one.record, other.record)


def test_halving_the_step_divides_the_error_by_four():
    """Steps of 4, 2 and 1 ms against 0.25 ms, up to where the bearing lets go; samples and frames fall on them."""
    machine = good_fox().replaced({"governor.rate": 125.0, "channel.frame": 0.024, "governor.sensor_step": 0.0})
    finest = flown_text(MANOEUVRES, machine, step_s=0.25e-3)
    times = np.arange(0.04, 3.96, 0.04)
    true = np.interp(times, column(finest, "time_s"), column(finest, "head_rad_s"))
    errors, whole = [], []
    for step_s in (4e-3, 2e-3, 1e-3):
        coarse = flown_text(MANOEUVRES, machine, step_s=step_s)
        missed = np.interp(times, column(coarse, "time_s"), column(coarse, "head_rad_s")) - true
        errors.append(float(np.sqrt(np.mean(missed[times < 2.1] ** 2))))
        whole.append(float(np.max(np.abs(missed))) * 30.0 / math.pi)
    orders = [math.log2(errors[k] / errors[k + 1]) for k in range(2)]
    assert all(1.8 < order < 2.3 for order in orders), (errors, orders)
    assert whole[0] < 0.1
    assert whole[1] < 0.05


def test_a_light_motor_does_not_limit_the_step():
    machine = good_fox().replaced({"motor.inertia": 1e-8, "governor.gain": 0.3})
    done = flown(machine, read_scenario("bail_out"))
    assert done.whole
    assert np.isfinite(done.record).all()
    assert abs(done.energy_gap_j) < 1e-6 * done.energy_j["cells_j"]


def test_the_bench_without_blades_turns_a_lighter_head_and_draws_less():
    bench, ground = flight("bench_spool_up"), flight("soft_start")
    current = {name: float(f.trace.channels["pack_current_a"][3500]) for name, f in (("b", bench), ("g", ground))}
    assert current["b"] < 0.7 * current["g"]
    assert "collective_deg" not in bench.trace.channels
    assert (column(bench, "thrust_n") == 0.0).all()


def test_a_soft_start_takes_the_time_that_the_machine_file_says():
    kinds = {segment.kind: segment for segment in judge(good_fox(), flight("soft_start").trace).segments}
    spool = kinds["soft_spool"]
    assert spool.end_s - spool.start_s == pytest.approx(15.0, rel=0.06)


def test_a_bail_out_is_quick_when_the_autorotation_position_is_right_and_soft_when_it_is_not():
    right = {c.check: c for c in judge(good_fox(), flight("bail_out").trace).checks}
    wrong = {c.check: c for c in judge(fox(), flown(fox(), read_scenario("bail_out")).trace).checks}
    assert right["quick_restart_granted"].verdict is Outcome.PASS
    assert wrong["quick_restart_granted"].verdict is not Outcome.PASS


def test_in_autorotation_the_motor_is_free_and_the_head_overruns_it():
    done = flight("autorotation")
    falling = (column(done, "time_s") > 11.0) & (column(done, "time_s") < 13.5)
    assert (column(done, "locked")[falling] == 0.0).all()
    ratio = 117.0 / 13.0
    assert (column(done, "motor_rad_s")[falling] < 0.5 * ratio * column(done, "head_rad_s")[falling]).all()
    assert (column(done, "bearing_nm")[falling] == 0.0).all()


def test_throttle_hold_takes_the_duty_away_and_the_next_start_is_soft():
    done = flight("hold")
    time_s, run = column(done, "time_s"), column(done, "run")
    assert (column(done, "duty")[(time_s > 33.1) & (time_s < 37.0)] == 0.0).all()
    assert int(Run.QUICK) not in run
    assert int(Run.SOFT) in run[time_s > 37.0]


def test_the_wheels_catch_up_without_a_jump_of_energy():
    done = flight("bail_out")
    assert done.catch_ups
    for caught in done.catch_ups:
        assert caught.peak_at_least_nm == pytest.approx(2.0 * caught.bearing_nm)


def test_more_gain_leaves_less_droop():
    def least(gain: float) -> float:
        machine = good_fox().replaced({"governor.gain": gain, "governor.collective_feed": 0.0})
        return float(flown(machine, read_scenario("climb_out")).trace.channels["head_speed_rpm"].min())

    assert least(0.5) < least(1.0) < least(2.0)


def test_a_pass_that_rests_on_typical_gains_is_unknown():
    fox = good_fox()
    gains = {key: fox.value(key) for key in GAINS if fox.value(key) is not None}
    machine = fox.filled({key: replace(value, origin=Origin.TYPICAL) for key, value in gains.items()})
    done = flown(machine, read_scenario("climb_out"))
    plain = {c.check: c.verdict for c in judge(machine, done.trace).checks}
    doubted = {c.check: c for c in simulated(judge(machine, done.trace), done, machine).checks}
    assert plain["climb_droop"] is Outcome.PASS
    assert doubted["climb_droop"].verdict is Outcome.UNKNOWN
    assert "governor.gain" in doubted["climb_droop"].reason


def test_an_empty_pack_ends_the_flight_with_a_sentence_and_never_passes():
    done = flown_text(MANOEUVRES.replace("charge = 0.9", "charge = 0.01").replace('"1 s"', '"20 s"', 1))
    assert not done.whole
    assert "pack" in done.ended
    judged = simulated(judge(good_fox(), done.trace), done, good_fox())
    assert judged.verdict is Outcome.FAIL


@pytest.mark.parametrize(
    ("key", "value"),
    [("motor.inertia", 0.0), ("rotor.inertia", math.nan), ("pack.resistance", math.inf), ("motor.kv", math.nan)],
)
def test_an_absurd_value_is_refused_by_name_and_never_flown(key, value):
    machine = good_fox()
    table, name = key.split(".")
    part = getattr(machine, table)
    broken = part.model_copy(update={name: replace(getattr(part, name), si=value)})
    with pytest.raises(SteadyheadError, match=key):
        flown(machine.model_copy(update={table: broken}), read_scenario("climb_out"))


def test_a_machine_that_cannot_hover_at_that_speed_says_so():
    machine = good_fox().replaced({"airframe.mass": 14.0, "flight_mode.1.head_speed": 60.0})
    with pytest.raises(InputError, match="hover"):
        flown(machine, read_scenario("hover"))


def test_flights_in_threads_are_the_flights_alone():
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda _: flown_text(MANOEUVRES).record, range(4)))
    alone = flown_text(MANOEUVRES).record
    assert all(np.array_equal(record, alone) for record in together)


def test_a_small_rotor_is_flown_in_smaller_steps():
    assert quick_enough(0.66) == 2e-3
    assert quick_enough(0.15) < 1e-3


def test_an_edit_to_a_kernel_of_the_flight_room_makes_a_new_kernel_cache(tmp_path):
    physics, room = tmp_path / "physics", tmp_path / "flight"
    for folder in (physics, room):
        folder.mkdir()
        (folder / "one.py").write_text("@kernel\ndef one(): ...\n")
    (room / "words.py").write_text("WORDS = 1\n")
    before = sources_digest(physics, room)
    (room / "words.py").write_text("WORDS = 2\n")
    assert sources_digest(physics, room) == before
    (room / "one.py").write_text("@kernel\ndef one(): return 2\n")
    assert sources_digest(physics, room) != before
    assert room.name in [folder.name for folder in KERNEL_FOLDERS]
