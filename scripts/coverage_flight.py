"""Coverage of the intervals of `judge`: simulated flights of drawn machines, seen through sensors and without them.

The truth of a governing figure is the same figure of the same flight before the sensors, a hundred rows a second: what
is counted is what lag, noise, rounding and few rows do to it, not whether the definition is a good one. The truth of
the pack's resistance and of the duty is the simulated machine's own.
"""

import math
import re
from dataclasses import replace

import numpy as np
from coverage_draws import MACHINES, owner

from steadyhead.judge.judging import judge
from steadyhead.judge.pack_figures import LAG_S
from steadyhead.judge.result import Judgement
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.pack import pack_source
from steadyhead.trace.trace import Trace
from tests.noisy_flight import Truth, flight_text, noisy_flight

HALF_CHARGE = 0.6
"""Charge at which the true resistance is taken: that of the middle of the flights."""
SENSOR_STEP_C = 1.0


def judge_counts(counts: dict, draws: int) -> None:
    """Count for `judge`."""
    for name in MACHINES:
        machine = owner(name)
        for seed in range(40_000, 40_000 + draws):
            truth = noisy_flight(machine, seed, text=_text(machine, seed))
            seen = judge(machine, _with_temperatures(truth, seed))
            clean = judge(machine, truth.clean)
            _checks(counts, name, seen, clean)
            _events(counts, name, seen, clean)
            _rest(counts, name, seen, clean, truth.machine)


def _text(machine: Machine, seed: int) -> str:
    """Return a flight nobody knows before, no collective beyond what the machine has."""
    most = math.degrees(si.number(machine, "rotor.collective_max")) - 0.5
    text = flight_text(np.random.default_rng(seed))
    return re.sub(
        r'collective = "([\d.]+) deg"', lambda one: f'collective = "{min(float(one[1]), most):.1f} deg"', text
    )


def _with_temperatures(truth: Truth, seed: int) -> Trace:
    """Return the log with both temperatures as a logger writes them, in whole degrees."""
    random = np.random.default_rng(seed)
    channels = dict(truth.trace.channels)
    for name in ("controller_temperature_c", "motor_temperature_c"):
        there = np.interp(truth.trace.time_s, truth.clean.time_s, truth.clean.channels[name])
        channels[name] = np.round((there + random.normal(0.0, 0.3, there.size)) / SENSOR_STEP_C) * SENSOR_STEP_C
    return replace(truth.trace, channels=channels)


def _checks(counts: dict, name: str, seen: Judgement, clean: Judgement) -> None:
    from interval_coverage import put

    true = {check.check: check.figure for check in clean.checks}
    for check in seen.checks:
        if check.figure is not None and true.get(check.check) is not None and check.check != "pack_resistance":
            put(counts, (name, "drawn flights", f"check {check.check}"), "", check.figure_interval, true[check.check])


def _events(counts: dict, name: str, seen: Judgement, clean: Judgement) -> None:
    from interval_coverage import put

    for event in seen.events:
        near = [one for one in clean.events if one.kind == event.kind and abs(one.start_s - event.start_s) < 0.5]
        if near:
            for figure in ("undershoot_percent", "overshoot_percent"):
                interval = getattr(event, f"{figure}_interval")
                put(counts, (name, "drawn flights", f"{event.kind}: {figure}"), "", interval, getattr(near[0], figure))


def _rest(counts: dict, name: str, seen: Judgement, clean: Judgement, real: Machine) -> None:
    from interval_coverage import put

    pack_k = real.value("pack.warm").si  # type: ignore[union-attr]
    source = pack_source(si.pack(real), HALF_CHARGE, pack_k, LAG_S)
    resistance = 1000.0 * source.resistance_ohm
    put(counts, (name, "drawn flights", "pack_resistance_mohm"), "", seen.pack_resistance_mohm_interval, resistance)
    for room in seen.head_room:
        alike = (one for one in clean.head_room if one.condition == room.condition)
        near = [one for one in alike if math.isclose(one.set_rpm, room.set_rpm, rel_tol=0.03)]
        if near:
            key = (name, "drawn flights", f"head_room in {room.condition}")
            put(counts, key, "", room.head_room_interval, near[0].head_room)
    for flight, true in zip(seen.flights, clean.flights, strict=False):
        for part in flight.heat:
            same = [one for one in true.heat if one.part == part.part]
            if same:
                key = (name, "drawn flights", f"{part.part}: end_rise_c_per_min")
                put(counts, key, "", part.end_rise_c_per_min_interval, same[0].end_rise_c_per_min)
