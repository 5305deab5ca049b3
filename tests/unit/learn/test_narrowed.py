"""The loss at part duty: taken from the file with a wide doubt, told where the logs leave little of it."""

import json
from dataclasses import replace
from pathlib import Path

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.learn.joint import joint, models_of
from steadyhead.learn.learning import learned
from steadyhead.learn.parameters import parameters
from steadyhead.learn.result import Parameter
from steadyhead.learn.rows import evidence
from steadyhead.learn.unknowns import NARROWED
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text, read_machine
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from tests.given_machine import machine_from, machine_text
from tests.noisy_flight import COAST_TEXT, noisy_flight

DATA = Path(__file__).parents[2] / "data" / "logs"
MACHINE = read_machine(bundled("fox600"))
(RIPPLE,) = NARROWED
COAST = noisy_flight(MACHINE, 10_001, text=COAST_TEXT)


def ripple_of(trace: Trace) -> Parameter:
    one = evidence(MACHINE, trace)
    assert one is not None
    told = parameters(MACHINE, joint(MACHINE, models_of(MACHINE, [one])))
    return next(each for each in told if each.key == RIPPLE)


def test_steady_running_at_two_speeds_tells_it_with_the_truth_in_its_interval() -> None:
    one, true, file = ripple_of(COAST.trace), COAST.machine.value(RIPPLE), MACHINE.value(RIPPLE)
    assert true is not None
    assert file is not None
    assert one.told
    assert one.value_interval is not None
    low, high = one.value_interval
    assert low <= true.si <= high
    assert high - low < file.spread_si


def test_without_a_current_it_stays_as_the_file_has_it_and_says_what_it_needs() -> None:
    channels = {name: values for name, values in COAST.trace.channels.items() if name != "pack_current_a"}
    one = ripple_of(replace(COAST.trace, channels=channels))
    assert not one.told
    assert "pack current" in one.needs


def test_what_was_fitted_beside_it_explains_a_bench_log_only_together_with_it() -> None:
    # The invented drive of this log has no such loss: with the typical one the current read 2.7 A off.
    truth = json.loads((DATA / "bench_three_modes.csv.truth.json").read_text("utf-8"))
    given = machine_from(truth["machine_given"])
    trace = read_trace(DATA / truth["file_name"], gearing=gearing_of(given))
    told = learned(given, machine_text(truth["machine_given"]), [trace])
    current = next(one for one in told.replayed if one.figure == "pack_current_a")
    assert current.after_rms < 0.3 * current.before_rms
    proposed = machine_from_text(told.proposal.text, "proposed.toml").value(RIPPLE)
    assert proposed is not None
    assert str(proposed.origin) == "fitted"
    assert proposed.si - proposed.spread_si <= 1e-9
    assert proposed.si + proposed.spread_si < 0.5
