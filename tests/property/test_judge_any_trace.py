"""Whatever a log holds, the judge answers: no crash, no infinity, no backward segment, no pass out of nothing."""

import dataclasses
import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyhead.judge.judging import CHECKS, judge
from steadyhead.judge.readings import readings
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import CHANNELS, Trace
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text

GIVEN = {
    "size_class": 600,
    "main_blades": 2,
    "blade_length_m": 0.6,
    "rotor_radius_m": 0.66,
    "chord_m": 0.054,
    "tail_ratio": 4.5,
    "tail_blades": 2,
    "tail_driven_in_autorotation": True,
    "gear_stages_teeth": [[13, 117]],
    "kv_rpm_per_v": 560.0,
    "poles": 10,
    "cells_in_series": 12,
    "capacity_mah": 3300.0,
    "esc_burst_a": 160.0,
    "esc_switch_hz": 8000.0,
    "head_speed_limit_rpm": 2550.0,
    "pack_resistance_when_new_mohm": 30.0,
    "air_temperature_c": 18.0,
    "collective_at_full_stick_deg": 12.0,
}
MACHINE = machine_from_text(machine_text(GIVEN), "any.toml")
LEVELS = {"duty": (0.0, 0.09, 0.5, 1.0), "throttle_percent": (0.0, 15.0, 57.0, 84.0)}


@st.composite
def traces(draw: st.DrawFn) -> Trace:
    """Return a trace of steps, noise and holes in some of the channels."""
    rows = draw(st.integers(0, 600))
    seed = draw(st.integers(0, 2**31))
    rng = np.random.default_rng(seed)
    step = draw(st.sampled_from((0.01, 0.02, 0.1, 0.5)))
    jitter = draw(st.sampled_from((0.0, 0.5, 5.0)))
    time_s = np.cumsum(step * (1.0 + jitter * rng.random(rows)))
    time_s = time_s - time_s[0] if rows else time_s
    names = draw(st.lists(st.sampled_from(sorted(CHANNELS)), max_size=8, unique=True))
    channels = {name: _values(rng, rows, LEVELS.get(name, (0.0, 3.0, 50.0, 2000.0)), draw) for name in names}
    return Trace(source="any", time_s=time_s, channels=channels, rows_read=rows)


def _values(rng: np.random.Generator, rows: int, levels: tuple[float, ...], draw: st.DrawFn) -> np.ndarray:
    pieces = draw(st.integers(1, 6))
    edges = np.sort(rng.integers(0, rows + 1, pieces))
    values = np.array(levels)[rng.integers(0, len(levels), pieces + 1)][np.searchsorted(edges, np.arange(rows))]
    values = values + draw(st.sampled_from((0.0, 0.01, 1.0, 300.0))) * rng.standard_normal(rows)
    holes = draw(st.sampled_from((0.0, 0.1, 0.97, 1.0)))
    values[rng.random(rows) < holes] = draw(st.sampled_from((np.nan, np.inf, -np.inf)))
    return values


def numbers(item: object) -> Iterator[float]:
    """Yield every float inside a result, the trace left out."""
    if isinstance(item, float):
        yield item
    elif isinstance(item, tuple | list):
        for part in item:
            yield from numbers(part)
    elif dataclasses.is_dataclass(item) and not isinstance(item, Trace):
        for field in dataclasses.fields(item):
            yield from numbers(getattr(item, field.name))


@given(traces())
@settings(max_examples=250, deadline=None, derandomize=True)
def test_any_trace_is_judged_without_crash_infinity_or_backward_segment(trace: Trace) -> None:
    judged = judge(MACHINE, trace)
    assert all(math.isfinite(x) for x in numbers(judged))
    assert all(math.isfinite(x) for x in numbers(readings(judged)))
    assert [c.check for c in judged.checks][: len(CHECKS)] == list(CHECKS)
    ends = [(s.start_s, s.end_s) for s in judged.segments]
    assert all(start < end for start, end in ends)
    assert all(first[1] == second[0] for first, second in pairwise(ends))
    assert all(w.start_s < w.end_s for w in judged.steady)
    assert all(e.start_s < e.end_s for e in judged.events)
    assert judged.cautions


@given(st.integers(0, 3), st.sampled_from(sorted(CHANNELS)))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_a_log_of_a_few_rows_never_passes_anything(rows: int, name: str) -> None:
    trace = Trace(source="few", time_s=np.arange(rows) * 0.1, channels={name: np.full(rows, 50.0)}, rows_read=rows)
    assert {c.verdict for c in judge(MACHINE, trace).checks} == {Outcome.UNKNOWN}


@given(st.sampled_from(sorted(CHANNELS)), st.floats(-10.0, 3000.0))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_one_constant_channel_passes_no_governing_check(name: str, value: float) -> None:
    trace = Trace(source="flat", time_s=np.arange(500) * 0.02, channels={name: np.full(500, value)}, rows_read=500)
    governing = {c.verdict for c in judge(MACHINE, trace).checks if c.check in CHECKS[:5]}
    assert governing == {Outcome.UNKNOWN}
