"""Other spool-up times, and coarser teeth, where a ramp breaks a limit or takes too long or too short."""

import math
from collections.abc import Callable, Iterator, Sequence

from steadyhead.advise.seen import BAIL_OUT, HEIGHT, RAMPS, SOFT_START, TIMES, Seen
from steadyhead.advise.trial import NoNumber, Tried, trial_of
from steadyhead.flight.governor_result import Ramp
from steadyhead.flight.quick_ramp import QUICK, SOFT
from steadyhead.flight.tuning_advice import MANY, turned
from steadyhead.machine.description import Machine

ROOM = 1.1
"""A ramp is made so much longer than the shortest that holds."""
MODULES_MM = (0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0)
"""Usual modules of small gears; ISO 54 from 1 mm on, DIN 780 below, both from memory."""
COARSEST = 1.3
"""The coarsest module that is tried, over today's: with the same teeth the shafts stand as much farther apart, and few
frames let a motor be moved so far; common practice, no source."""
KEYS = {QUICK: "governor.quick_spool", SOFT: "governor.soft_spool"}
CHECKS = {QUICK: "quick_restart_time", SOFT: "soft_start_time"}
TEETH = ("pinion_tooth", "main_gear_tooth")
MODULE = "gears.module"
STILL_BREAKS = "no ramp within the time that is usual keeps every known limit: this is the gentlest of them"
STRONGER_FIRST = (
    "first mend what the shorter ramp would break (coarser, wider or stronger teeth, or a gentler head speed), then "
    "run advise again: it tells the ramp"
)
OTHER_GEARS = "ask the maker for wider or stronger gears, and put their figures into the machine file"
TAKES_LONG = "the shortest ramp that keeps every known limit, longer than is usual: mind the height that it takes"


def ramp_trials(machine: Machine, every: Sequence[Ramp], failing: Sequence[Seen]) -> Iterator[Tried]:
    """Yield spool times that every flight mode's ramp and the limits of its time allow, or those that come nearest."""
    kinds: tuple[tuple[str, str, str, tuple[str, ...], Callable[[Seen], bool]], ...] = (
        (QUICK, KEYS[QUICK], "limits.quick_spool", (BAIL_OUT, HEIGHT), _asks(CHECKS[QUICK], QUICK)),
        (SOFT, KEYS[SOFT], "limits.soft_spool", (SOFT_START,), _asks(CHECKS[SOFT], SOFT)),
    )
    for kind, key, limit, parts, asks in kinds:
        today, ramps = machine.value(key), [one for one in every if one.kind == kind]
        if not any(asks(one) for one in failing) or today is None:
            continue
        low, high = machine.value(f"{limit}_low"), machine.value(f"{limit}_high")
        least = max([low.si if low else 0.0, *(_safe(one) for one in ramps)])
        most = high.si if high else math.inf
        unknown = sorted({name for one in ramps for name in one.unknown_limits})
        bare = f"not held against {', '.join(unknown)}: nobody stated them" if unknown else ""
        if today.si > most and least > most:
            yield NoNumber(key=key, why=_held_back(kind, today.si, least, most), measure=STRONGER_FIRST)
        for wanted_s, note in spool_times(today.si, least, most, *_late(failing, CHECKS[kind])):
            to_s = _settable(wanted_s)
            words = (key, f"time of the {kind} spool-up", f"{today.si:g} s", f"{_by(to_s / today.si)} ({to_s:.3g} s)")
            told = "; ".join(one for one in (note, bare) if one)
            yield trial_of(machine, {key: to_s}, words, (RAMPS, TIMES, *parts), relative=True, note=told)


def teeth_trials(machine: Machine, failing: Sequence[Seen]) -> Iterator[Tried]:
    """Yield a coarser module where a tooth breaks its limit on a ramp.

    The two next above the one that would do, were the stress to fall with its square; the faster pitch line takes some
    of that back, which the ramp worked out anew counts. None is tried that no frame would take: then the reason.
    Source: Lewis' equation with the same torque and teeth: force and width of the root both go with the module.
    """
    module = machine.value(MODULE)
    beyond = [1.0 + one.excess for one in failing if one.part == RAMPS and one.check.check in TEETH]
    if module is None or not beyond:
        return
    today_mm = 1e3 * module.si
    wanted_mm = today_mm * math.sqrt(max(beyond))
    coarser = [one for one in MODULES_MM if wanted_mm <= one <= COARSEST * today_mm + 1e-9 and one > today_mm + 1e-9]
    if not coarser:
        yield NoNumber(key=MODULE, why=_too_coarse(today_mm, wanted_mm), measure=OTHER_GEARS)
    for to_mm in coarser[:2]:
        grown = to_mm / today_mm - 1.0
        note = (
            f"other gears with the same teeth: they and the distance of their shafts grow by {grown:.0%}; "
            "ask the maker whether they fit, or for wider or stronger ones"
        )
        words = (MODULE, "module of pinion and main gear", f"{today_mm:g} mm", f"{to_mm:g} mm")
        yield trial_of(machine, {MODULE: 1e-3 * to_mm}, words, (RAMPS,), note=note)


def spool_times(
    today_s: float, least_s: float, most_s: float, too_slow: float, late_s: float = 0.0
) -> tuple[tuple[float, str], ...]:
    """Return other spool times, s, each with what is to be said of it; none where today's will do.

    `least_s` is the shortest ramp that keeps every known limit on every drawn machine, endless where none does;
    `most_s` the longest that is usual. `too_slow` is how many times as long as allowed a flown restart took, 1 or less
    where it was in time, `late_s` by how much: what a restart takes beside its ramp, a shorter ramp leaves as it is.
    """
    if least_s > most_s:
        gentlest = ((most_s, STILL_BREAKS),) if today_s < most_s else ()
        return (*gentlest, (least_s, TAKES_LONG)) if math.isfinite(least_s) and least_s > today_s else gentlest
    if today_s < least_s:
        return ((min(ROOM * least_s, most_s), ""),)
    if today_s > most_s:
        middle_s, quick_s = 0.5 * (least_s + most_s), ROOM * least_s
        return ((middle_s, ""), *(((quick_s, ""),) if quick_s < middle_s else ()))
    wanted = max(least_s, min(today_s / (ROOM * too_slow), today_s - ROOM * late_s))
    return ((wanted, ""),) if too_slow > 1.0 and wanted < today_s else ()


def _too_coarse(today_mm: float, wanted_mm: float) -> str:
    return (
        f"the teeth need a module of about {wanted_mm:.2g} mm instead of {today_mm:.2g} mm: with the same teeth the "
        f"shafts would stand {wanted_mm / today_mm - 1.0:.0%} farther apart, which hardly any frame allows"
    )


def _held_back(kind: str, today_s: float, least_s: float, most_s: float) -> str:
    shortest = f"needs {least_s:.1f} s" if math.isfinite(least_s) else "is not found at any length"
    return (
        f"today's {kind} spool-up of {today_s:.3g} s is longer than the {most_s:.3g} s that are usual, but a ramp that "
        f"keeps every known limit {shortest}: made shorter alone it breaks what its ramp checks name"
    )


def _settable(time_s: float) -> float:
    """Return a time as it is told, in twentieths of a second, never below: a shorter ramp asks more."""
    return math.ceil(20.0 * time_s - 1e-6) / 20.0


def _by(times: float) -> str:
    """Return a change of a time in words that agree with its number."""
    if times >= MANY:
        return turned(times)
    return f"{'raise' if times > 1.0 else 'lower'} by about {100.0 * abs(times - 1.0):.0f} %"


def _late(failing: Sequence[Seen], check: str) -> tuple[float, float]:
    """Return how many times as long as allowed a spool-up took where it was flown or logged, and by how many s."""
    late = [
        one
        for one in failing
        if one.check.check == check and one.part != TIMES and one.check.limit_text.startswith("<=")
    ]
    seconds = [(one.check.figure or 0.0) - (one.check.limit or 0.0) for one in late if one.check.figure is not None]
    return 1.0 + max((one.excess for one in late), default=0.0), max(seconds, default=0.0)


def shortest_times(every: Sequence[Ramp]) -> dict[str, float]:
    """Return the shortest time of each spool-up, by its key, that keeps every known limit in every flight mode, s."""
    found: dict[str, float] = {}
    for one in every:
        key = KEYS[one.kind]
        found[key] = max(found.get(key, 0.0), _safe(one))
    return found


def _asks(check: str, kind: str) -> Callable[[Seen], bool]:
    return lambda one: one.check.check == check or one.place.startswith(f"{kind} ramp")


def _safe(one: Ramp) -> float:
    """Return the shortest ramp that keeps the known limits on every drawn machine, s; endless where none does."""
    if one.shortest_s is None:
        return math.inf
    return one.shortest_s_interval[1] if one.shortest_s_interval else one.shortest_s
