"""What one machine of a study comes to: the figures and verdicts of one command, as one flat row."""

import dataclasses
import math
from collections.abc import Iterator
from typing import Any

from steadyhead.machine.description import Machine
from steadyhead.study.asked import Collects
from steadyhead.words.verdict import Outcome, Verdict, worst

Cells = dict[str, float | str | None]
LEAST, MOST = min, max
UNIT_ENDS = {"rpm": "_rpm", "A": "_a", "N m": "_nm", "°C": "_c", "m/s": "_m_s", "": ""}


def plan_cells(machine: Machine) -> Cells:
    """Return duty left, flight time, currents and heat of each flight mode and of the worst."""
    from steadyhead.plan.steady import plan

    answer = plan(machine)
    cells: Cells = {}
    for mode in answer.modes:
        found = mode.conditions
        cells |= {
            f"{mode.mode}: flight_time_s": mode.flight_time_s,
            f"{mode.mode}: head_room": min(one.head_room for one in found),
            f"{mode.mode}: pack_current_a": max(one.pack_current_a for one in found),
            f"{mode.mode}: winding_temperature_c": max(one.winding_temperature_c for one in found),
            f"{mode.mode}: controller_temperature_c": max(one.controller_temperature_c for one in found),
        }
    kinds = (("flight_time_s", LEAST), ("head_room", LEAST), ("pack_current_a", MOST))
    for figure, of in (*kinds, ("winding_temperature_c", MOST), ("controller_temperature_c", MOST)):
        cells[figure] = of(float(v) for k, v in cells.items() if k.endswith(f": {figure}") and v is not None)
    return cells | _verdicts(answer, answer.verdict)


def channel_cells(machine: Machine, readings: tuple[str, ...]) -> Cells:
    """Return start delay, margin and the curve value of each flight mode."""
    from steadyhead.channel.answer import channel
    from steadyhead.channel.reading_text import reading_from_text

    answer = channel(machine, [reading_from_text(text) for text in readings])
    cells: Cells = {
        "start_delay_s": answer.thresholds.start_delay_s,
        "margin_us": answer.thresholds.margin_us,
        "slope_rpm_per_percent": answer.law.slope_rpm_per_percent,
    }
    cells |= {f"{mode.mode}: curve_percent": mode.curve_percent for mode in answer.modes}
    return cells | _verdicts(answer, answer.verdict)


def fly_cells(machine: Machine, scenario: str, pilot_delay_s: float) -> Cells:
    """Return peaks, droop, overshoot, recovery and used energy of one simulated flight."""
    from steadyhead.flight.engine import flown
    from steadyhead.flight.scenario_file import read_scenario
    from steadyhead.judge.flown import simulated
    from steadyhead.judge.judging import judge
    from steadyhead.study.late_pilot import late

    flight = flown(machine, late(read_scenario(scenario), pilot_delay_s))
    answer = simulated(judge(machine, flight.trace), flight, machine)
    cells: Cells = {f"peak_{peak.figure}{UNIT_ENDS[peak.unit]}": peak.value for peak in flight.peaks}
    for figure in ("undershoot_percent", "overshoot_percent", "load_recovery_s", "droop_percent"):
        cells[figure] = _most(getattr(event, figure) for event in answer.events)
    cells["bail_out_to_set_speed_s"] = _most(out.to_set_speed_s for out in answer.bail_outs)
    cells["height_lost_m"] = _most(out.height_lost_m for out in answer.bail_outs)
    cells["touchdown_sink_m_s"] = _most(touch.sink_m_s for touch in flight.touchdowns)
    cells["cells_wh"] = flight.energy_j["cells_j"] / 3600.0
    return cells | _verdicts(answer, answer.verdict)


def governor_cells(machine: Machine) -> Cells:
    """Return the least margins and the worst load steps over all flight modes."""
    from steadyhead.flight.governor_answer import governor

    answer = governor(machine)
    cells: Cells = {
        "modulus_margin": min((one.modulus_margin for one in answer.conditions), default=None),
        "phase_margin_deg": _least(one.phase_margin_deg for one in answer.conditions),
        "drop_percent": _most(step.drop_percent for step in answer.steps),
        "rise_percent": _most(step.rise_percent for step in answer.steps),
        "recovery_s": _most(step.recovery_s for step in answer.steps),
    }
    return cells | _verdicts(answer, answer.verdict)


def descend_cells(machine: Machine) -> Cells:
    """Return sink rates and the rotor's energy of the slowest flight mode."""
    from steadyhead.flight.descend import descend

    answer = descend(machine)
    cells: Cells = {}
    for one in (speed for speed in answer.head_speeds if speed.modes):
        mode = one.modes[0]
        cells[f"{mode}: least_sink_m_s"] = one.least_sink.sink_m_s if one.least_sink else None
        cells[f"{mode}: vertical_sink_m_s"] = one.points[0].sink_m_s
        cells[f"{mode}: rotor_energy_j"] = one.energy.rotor_energy_j
        cells[f"{mode}: flare_reserve_s"] = one.energy.flare_reserve_s
    for figure, of in (("least_sink_m_s", _most), ("flare_reserve_s", _least)):
        cells[figure] = of(v for k, v in cells.items() if k.endswith(f": {figure}") and not isinstance(v, str))
    return cells | _verdicts(answer, answer.verdict)


def cells_of(machine: Machine, collects: Collects, scenario: str, readings: tuple[str, ...], delay_s: float) -> Cells:
    """Return the figures and verdicts of one machine."""
    if collects is Collects.PLAN:
        return plan_cells(machine)
    if collects is Collects.CHANNEL:
        return channel_cells(machine, readings)
    if collects is Collects.FLY:
        return fly_cells(machine, scenario, delay_s)
    return governor_cells(machine) if collects is Collects.GOVERNOR else descend_cells(machine)


def _verdicts(answer: object, whole: Outcome) -> Cells:
    """Return the verdict of a command and of each of its checks, each at its worst."""
    seen: dict[str, list[Outcome]] = {}
    for verdict in _walked(answer):
        seen.setdefault(verdict.check, []).append(verdict.verdict)
    cells: Cells = {"verdict": whole.value}
    for name, found in sorted(seen.items()):
        cells[f"check {name}"] = worst(found).value
    return cells


def _walked(item: Any) -> Iterator[Verdict]:
    if isinstance(item, Verdict):
        yield item
    elif isinstance(item, tuple):
        for one in item:
            yield from _walked(one)
    elif dataclasses.is_dataclass(item) and not isinstance(item, type):
        for field in dataclasses.fields(item):
            yield from _walked(getattr(item, field.name))


def _known(numbers: Any) -> list[float]:
    return [float(one) for one in numbers if one is not None and math.isfinite(one)]


def _most(numbers: Any) -> float | None:
    return max(_known(numbers), default=None)


def _least(numbers: Any) -> float | None:
    return min(_known(numbers), default=None)
