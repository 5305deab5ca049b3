"""Coverage of the intervals of `plan` and `descend`: true machines drawn from the doubts of the owner's file."""

from pathlib import Path

import numpy as np
from coverage_draws import CORRELATED, MACHINES, SKEWED, STATED, owner, study_of, true_machines

from steadyhead.channel.reading_doubt import Z90
from steadyhead.flight.descend import head_speeds
from steadyhead.flight.descend_result import GlidePoint, HeadSpeedDescent
from steadyhead.flight.descend_told import best_glide, glide_points, least_sink, reserve_ratio
from steadyhead.flight.glide_curves import FORWARD_M_S, INFLOW_DOUBT_RATIO, SINK, Curves, curves, figures_of
from steadyhead.flight.rotor_words import energy_doubt, energy_figures, energy_words
from steadyhead.machine.description import Machine
from steadyhead.physics.glide import hover_inflow
from steadyhead.plan.modes import mode_plan
from steadyhead.plan.result import ModePlan
from steadyhead.plan.solved import solve

PLAN_FIGURES = (
    "collective_deg", "rotor_power_w", "shaft_power_w", "motor_current_a", "pack_current_a", "duty", "ceiling_rpm",
    "winding_temperature_c",
)  # fmt: skip
ENERGY_FIGURES = ("rotor_energy_j", "energy_height_m", "hover_time_s", "least_head_speed_rpm", "flare_reserve_s")
CASES = ((name, STATED) for name in MACHINES)
MISSTATED = (("fox600", SKEWED), ("fox600", CORRELATED))


def plan_counts(counts: dict, folder: Path, draws: int) -> None:
    """Count for `plan`."""
    from interval_coverage import put

    for name, case in (*((name, STATED) for name in MACHINES), *MISSTATED):
        machine = owner(name)
        told = _planned(machine)
        study = study_of(name, str(folder / "study.toml"), draws, 2026)
        for real in true_machines(study, machine, case):
            for mode, true in zip(told, _planned(real), strict=True):
                key = (name, case, "flight_time_s")
                put(counts, key, mode.mode, mode.flight_time_s_interval, true.flight_time_s)
                for one, truth in zip(mode.conditions, true.conditions, strict=True):
                    for figure in PLAN_FIGURES:
                        place = f"{mode.mode}, {one.condition}"
                        interval = getattr(one, f"{figure}_interval")
                        put(counts, (name, case, figure), place, interval, getattr(truth, figure))


def _planned(machine: Machine) -> tuple[ModePlan, ...]:
    solved = solve(machine)
    return tuple(mode_plan(solved, mode) for mode in range(len(machine.flight_mode)))


def descend_counts(counts: dict, folder: Path, draws: int) -> None:
    """Count for `descend`: steady glides and the rotor's energy; the inflow in descent is drawn from its doubt, too."""
    from interval_coverage import put

    for name, case in (*((name, STATED) for name in MACHINES), *MISSTATED):
        machine = owner(name)
        speeds = head_speeds(machine)
        told = _descended(machine, speeds, 0.0)
        study = study_of(name, str(folder / "study.toml"), draws, 2027, "descend")
        off = np.random.default_rng(2027).standard_normal(draws) / Z90
        for real, inflow in zip(true_machines(study, machine, case), off, strict=True):
            for mine, true in zip(told, _descended(real, speeds, float(inflow)), strict=True):
                for place, figure, interval, truth in _pairs(mine, true):
                    put(counts, (name, case, figure), f"{mine.head_speed_rpm:.0f} rpm{place}", interval, truth)


def _descended(machine: Machine, speeds: np.ndarray, inflow: float) -> list[HeadSpeedDescent]:
    glides = curves(machine, speeds)
    if inflow:
        glides = _sunk(glides, inflow * INFLOW_DOUBT_RATIO * hover_inflow(glides.glider))
    energy = energy_figures(machine, speeds)
    doubt = energy_doubt(machine, speeds, energy)
    found = []
    for row, head in enumerate(speeds):
        ratio, span = reserve_ratio(glides, (energy, doubt), row)
        found.append(
            HeadSpeedDescent(
                head_speed_rpm=float(head) * 30.0 / np.pi,
                modes=(),
                points=glide_points(glides, row),
                least_sink=least_sink(glides, row),
                best_glide=best_glide(glides, row),
                energy=energy_words(energy, doubt, row),
                reserve_ratio=ratio,
                reserve_ratio_interval=span,
            )
        )
    return found


def _sunk(glides: Curves, faster_m_s: float) -> Curves:
    from dataclasses import replace

    moved = glides.glides.copy()
    moved[..., SINK] += faster_m_s
    return replace(glides, glides=moved, central=figures_of(moved))


def _pairs(mine: HeadSpeedDescent, true: HeadSpeedDescent):
    one: GlidePoint
    for one, truth, forward in zip(mine.points, true.points, FORWARD_M_S, strict=True):
        for figure in ("sink_m_s", "collective_deg"):
            yield f", {forward:.0f} m/s", f"glide: {figure}", getattr(one, f"{figure}_interval"), getattr(truth, figure)
    for name in ("least_sink", "best_glide"):
        best, truth = getattr(mine, name), getattr(true, name)
        if best is not None:
            for figure in ("forward_m_s", "sink_m_s", "glide_ratio"):
                got = None if truth is None else getattr(truth, figure)
                yield "", f"{name}: {figure}", getattr(best, f"{figure}_interval"), got
    for figure in ENERGY_FIGURES:
        yield "", figure, getattr(mine.energy, f"{figure}_interval"), getattr(true.energy, figure)
    yield "", "reserve_ratio", mine.reserve_ratio_interval, true.reserve_ratio
