"""Autorotation of one machine: how it glides at each head speed, and what the rotor's energy is worth."""

import math
from dataclasses import dataclass

import numpy as np

from steadyhead.flight.descend_checks import checks_of
from steadyhead.flight.descend_doubts import doubts
from steadyhead.flight.descend_result import DescendAnswer, HeadSpeedDescent
from steadyhead.flight.descend_told import best_glide, glide_points, least_sink, reserve_ratio
from steadyhead.flight.glide_airs import airs
from steadyhead.flight.glide_compared import compared
from steadyhead.flight.glide_curves import Curves, curves
from steadyhead.flight.glide_settled import settled
from steadyhead.flight.glide_vertical import vertical
from steadyhead.flight.glider import ENERGY_INPUTS, GLIDE_INPUTS, Figures, Floats
from steadyhead.flight.governor_answer import one_mode_moved
from steadyhead.flight.rotor_words import RPM, energy_doubt, energy_figures, energy_words
from steadyhead.flight.what_if import reference_row, what_if
from steadyhead.machine.description import Machine
from steadyhead.physics.glide import hover_inflow
from steadyhead.plan.intervals import Spread
from steadyhead.plan.result import Doubt
from steadyhead.words import cautions
from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict, worst

SLOWER = (0.7, 0.85)
"""Head speeds besides those of the flight modes, as shares of the slowest mode: where a rotor settles in a glide."""
LOWEST_TUNNEL_LOADING = 0.04


def descend(machine: Machine, *, say: Say = silent) -> DescendAnswer:
    """Return how a machine comes down without its motor, at every head speed looked at.

    Raises: InputError when the machine names no flight mode.
    """
    glides, energy_span, told = _glided(machine, say)
    row = reference_row(glides, slowest_mode=len(SLOWER))
    say("where the rotor settles")
    equilibria = settled(machine, glides, row)
    say("vertical descent")
    ladder, tunnel = vertical(glides, row), compared(glides, row)
    say("other air")
    in_airs = airs(machine, glides)
    say("what if")
    changed = what_if(machine, glides, row)
    checks = checks_of(machine, told)
    used = {*GLIDE_INPUTS, *ENERGY_INPUTS, "rotor.blades", "tail.blades", "rotor.collective_min"}
    return DescendAnswer(
        machine=machine.name,
        machine_revision=machine.revision,
        density_kg_m3=glides.glider.air.density_kg_m3,
        hover_inflow_m_s=hover_inflow(glides.glider),
        tail_driven=machine.tail.driven_in_autorotation,
        head_speeds=told,
        settled=equilibria,
        vertical=ladder,
        tunnel=tunnel,
        airs=in_airs,
        what_if=changed,
        doubts=doubts(machine, glides, energy_span, row),
        checks=checks,
        verdict=worst(check.verdict for check in checks),
        reasons=tuple(check.reason for check in checks if check.verdict is not Outcome.PASS),
        unknowns=("tail.driven_in_autorotation",) if machine.tail.driven_in_autorotation is None else (),
        typical=tuple(key for key in machine.typical() if key in used),
        warnings=_warnings(machine, told, tunnel.blade_loading),
        cautions=cautions.DESCENT + cautions.ALL,
    )


@dataclass(frozen=True, kw_only=True)
class GlideChecks:
    """The checks of the glide, what carries its doubt, and the glides themselves, which serve a change again."""

    machine: Machine
    checks: tuple[Verdict, ...]
    doubts: tuple[Doubt, ...]
    glides: Curves


def glide_checks(machine: Machine, before: GlideChecks | None = None) -> GlideChecks:
    """Return the checks of `descend` on the glide and what carries its doubt, in a third of the time.

    `before` is the answer for a machine before a change: where the head speed of one flight mode is all that changed,
    only the glides at head speeds that are new are looked for.

    Raises: InputError when the machine names no flight mode.
    """
    same = before is not None and one_mode_moved(machine, before.machine) is not None
    glides, energy_span, told = _glided(machine, silent, before.glides if before is not None and same else None)
    row = reference_row(glides, slowest_mode=len(SLOWER))
    found = doubts(machine, glides, energy_span, row)
    return GlideChecks(machine=machine, checks=checks_of(machine, told), doubts=found, glides=glides)


def _glided(
    machine: Machine, say: Say, like: Curves | None = None
) -> tuple[Curves, dict[str, Spread], tuple[HeadSpeedDescent, ...]]:
    """Return the glides at every head speed, the doubt on the rotor's energy, and both as they are told."""
    if not machine.flight_mode:
        raise InputError(f"machine {machine.name}", read="no flight mode", right="at least one [[flight_mode]]")
    speeds = head_speeds(machine)
    say("glide at every head speed")
    glides = curves(machine, speeds, like)
    say("energy in the rotor")
    energy = energy_figures(machine, speeds)
    energy_span = energy_doubt(machine, speeds, energy)
    return glides, energy_span, tuple(_told(machine, (glides, energy, energy_span), row) for row in range(len(speeds)))


def head_speeds(machine: Machine) -> Floats:
    """Return the head speeds looked at, rad/s, the slowest first: two below every flight mode, and each mode's own."""
    modes = sorted({mode.head_speed.si for mode in machine.flight_mode})
    return np.array([*(share * modes[0] for share in SLOWER), *modes])


def _told(machine: Machine, solved: tuple[Curves, Figures, dict[str, Spread]], row: int) -> HeadSpeedDescent:
    """Return everything about one head speed as it is told."""
    glides, energy, energy_span = solved
    head = float(glides.head_rad_s[row])
    least = least_sink(glides, row)
    ratio, span = reserve_ratio(glides, (energy, energy_span), row)
    return HeadSpeedDescent(
        head_speed_rpm=RPM * head,
        modes=tuple(mode.name for mode in machine.flight_mode if math.isclose(mode.head_speed.si, head)),
        points=glide_points(glides, row),
        least_sink=least,
        best_glide=best_glide(glides, row),
        energy=energy_words(energy, energy_span, row),
        reserve_ratio=ratio,
        reserve_ratio_interval=span,
    )


def _warnings(machine: Machine, told: tuple[HeadSpeedDescent, ...], blade_loading: float) -> tuple[str, ...]:
    """Return where the figures rest on less than they seem to."""
    said = [
        "forward glide joins a measured vertical inflow to Glauert's forward one: no measured glide of a model "
        "helicopter was found to check it",
        "the slow end is too good: the blades stall earlier than computed (greatest lift is 15 to 35 % optimistic), so "
        "let no glide hang near the least head speed",
        "collective is held and the air is still: wind, turns, flare and ground effect are not in these figures",
    ]
    if blade_loading < LOWEST_TUNNEL_LOADING:
        said.append(
            f"blade loading in the glide is {blade_loading:.3f}: the tunnel went down to {LOWEST_TUNNEL_LOADING} only"
        )
    none = [one for one in told if one.modes and one.least_sink is None]
    if none:
        names = ", ".join(name for one in none for name in one.modes)
        said.append(f"no autorotation holds the head speed of {names}: the rotor slows down in the glide")
    if machine.tail.driven_in_autorotation is None:
        said.append("whether the tail is driven in autorotation is not known: it is taken as driven, which sinks more")
    if machine.tail.driven_in_autorotation is False:
        said.append("the tail is not driven in autorotation: nothing but the fin holds the nose")
    return tuple(said)
