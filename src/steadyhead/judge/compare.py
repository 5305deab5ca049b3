"""Says which figures changed beyond noise between logs before and after a change, and what else could be the cause."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from steadyhead.judge.air_logged import density_of
from steadyhead.judge.compare_figures import (
    AIR,
    FIGURES,
    HOVER_VOLTS,
    OTHER_HEAT,
    PACK_HEAT,
    SAME_MODE_SHARE,
    START,
    Compared,
    Sample,
    Side,
    paired_modes,
)
from steadyhead.judge.compare_result import Change, Comparison, Condition, Said
from steadyhead.judge.noise import Difference, beyond_noise, difference_from_one, difference_of
from steadyhead.judge.result import FlightFigures, Judgement
from steadyhead.machine.description import Machine
from steadyhead.words.cautions import ALL
from steadyhead.words.verdict import Outcome

ONE_FLIGHT = "from one flight to the next more may differ than within one: repeat each side on another day"
SCATTER_OF_OTHER = "a single value on one side is taken to scatter as those of the other side do: log that side again"
FEWEST_FOR_ONE = 3
"""A single value is held against three or more of the other side."""
ALIKE_SPEED = 0.01
OTHER_SPEED = "the other head speed"
MATTERS = {START: 0.05, HOVER_VOLTS: 0.02, PACK_HEAT: 5.0, OTHER_HEAT: 5.0, AIR: 0.01}
"""From when a condition counts as different: V a cell, share of it, °C, °C, share; common practice, no source."""


Pair = tuple[float | None, float | None]


def compare(
    machine: Machine,
    before: Sequence[Judgement],
    after: Sequence[Judgement],
    density: Pair = (None, None),
) -> Comparison:
    """Return every figure before and after, with its change and whether that is beyond noise.

    `density` is the air density before and after, kg/m³, where the flyer knows it.

    Valid: logs of one machine, with one change between the sides; more changes cannot be told apart.
    """
    sides = Side(before), Side(after)
    conditions = _conditions(machine, *sides, density)
    changes = _with_causes(_decided(_changes(*sides)), conditions)
    worse = [c for c in changes if c.said is Said.WORSE]
    better = [c for c in changes if c.said is Said.BETTER]
    return Comparison(
        machine=machine.name,
        before=tuple(log.log for log in before),
        after=tuple(log.log for log in after),
        changes=tuple(changes),
        conditions=conditions,
        warnings=_warnings(*sides),
        verdict=Outcome.FAIL if worse else Outcome.PASS if better else Outcome.UNKNOWN,
        reasons=_reasons(changes, worse, better),
        cautions=ALL,
    )


def _changes(before: Side, after: Side) -> list[tuple[Compared, Change]]:
    pairs = paired_modes(before, after)
    found = []
    for kept in FIGURES:
        old, new = before.samples(kept.figure), after.samples(kept.figure)
        if not old and not new:
            continue
        by_mode = any(sample.set_rpm is not None for sample in (*old, *new))
        for rpm, partner in pairs if by_mode else [(None, None)]:
            here = _of_mode(old, rpm) if by_mode else old
            there = _of_mode(new, partner) if by_mode else new
            if here or there:
                found.append((kept, _change(kept, (rpm, partner), here, there)))
    return found


def _of_mode(samples: list[Sample], rpm: float | None) -> list[Sample]:
    if rpm is None:
        return []
    return [s for s in samples if s.set_rpm is not None and abs(s.set_rpm - rpm) <= 0.5 * SAME_MODE_SHARE * rpm]


def _change(
    kept: Compared, rpm: tuple[float | None, float | None], before: list[Sample], after: list[Sample]
) -> Change:
    flights = len({s.flight for s in before}) >= 2 and len({s.flight for s in after}) >= 2
    old, new = (_flight_means(side) if flights else [s.value for s in side] for side in (before, after))
    one = Change(
        figure=kept.figure,
        unit=kept.unit,
        set_rpm=rpm[0],
        set_rpm_after=rpm[1],
        before=float(np.mean(old)) if old else None,
        after=float(np.mean(new)) if new else None,
        before_count=len(old),
        after_count=len(new),
        counted="flights" if flights else "windows and loads",
        change=None,
        change_interval=None,
        chance=None,
        said=Said.UNTOLD,
        reason="",
    )
    if not old or not new:
        return replace(one, reason=f"only the logs {'before' if old else 'after'} show it")
    seen = _difference(kept, old, new, before, after)
    if seen is None:
        change = float(np.mean(new) - np.mean(old))
        return replace(one, change=change, reason="a single value has no scatter: log it again")
    alone = min(len(old), len(new)) == 1 and max(len(old), len(new)) >= FEWEST_FOR_ONE
    return replace(
        one,
        change=seen.change,
        change_interval=(seen.change - seen.doubt, seen.change + seen.doubt),
        chance=seen.chance,
        reason=SCATTER_OF_OTHER if alone else "" if flights else ONE_FLIGHT,
    )


def _flight_means(samples: list[Sample]) -> list[float]:
    flights = dict.fromkeys(sample.flight for sample in samples)
    return [float(np.mean([s.value for s in samples if s.flight == flight])) for flight in flights]


def _difference(
    kept: Compared, old: list[float], new: list[float], before: list[Sample], after: list[Sample]
) -> Difference | None:
    """Return the change with its doubt: from the scatter, or from the figure's own interval when it stands alone."""
    if len(old) >= 2 and len(new) >= 2:
        return difference_of(np.array(old), np.array(new), kept.step)
    if max(len(old), len(new)) >= FEWEST_FOR_ONE:
        return difference_from_one(np.array(old), np.array(new), kept.step)
    doubts = [sample.doubt for sample in (*before, *after)]
    if any(doubt is None for doubt in doubts):
        return None
    from scipy.special import ndtr, ndtri

    error = float(np.sqrt(sum((doubt or 0.0) ** 2 for doubt in doubts))) / float(ndtri(0.95))
    change = float(np.mean(new) - np.mean(old))
    return Difference(change, float(ndtri(0.95)) * error, 2.0 * float(ndtr(-abs(change) / error)) if error else 1.0)


def _decided(found: list[tuple[Compared, Change]]) -> list[tuple[Compared, Change]]:
    """Say which figures changed, all of them looked at together."""
    told = [k for k, (_, change) in enumerate(found) if change.chance is not None]
    moved = dict(zip(told, beyond_noise([found[k][1].chance or 0.0 for k in told]), strict=True))
    return [
        (kept, replace(change, said=_said(kept, change) if moved[k] else Said.NOISE) if k in moved else change)
        for k, (kept, change) in enumerate(found)
    ]


def _said(kept: Compared, change: Change) -> Said:
    if kept.less_is_better is None:
        return Said.CHANGED
    return Said.BETTER if ((change.change or 0.0) < 0.0) == kept.less_is_better else Said.WORSE


def _with_causes(found: list[tuple[Compared, Change]], conditions: tuple[Condition, ...]) -> list[Change]:
    """Name, for each figure that changed, the conditions that could have done it."""
    same = {condition.condition for condition in conditions if condition.differs is False}
    moved = (Said.BETTER, Said.WORSE, Said.CHANGED)
    return [
        replace(change, could_be=(*_other_speed(change), *(name for name in kept.moved_by if name not in same)))
        if change.said in moved
        else change
        for kept, change in found
    ]


def _other_speed(change: Change) -> tuple[str, ...]:
    old, new = change.set_rpm, change.set_rpm_after
    if old is None or new is None or change.figure == "head_speed_rpm" or abs(new - old) <= ALIKE_SPEED * old:
        return ()
    return (OTHER_SPEED,)


def _conditions(machine: Machine, before: Side, after: Side, density: Pair) -> tuple[Condition, ...]:
    cells = max(machine.cells, 1)

    def rest(flight: FlightFigures) -> float | None:
        return None if flight.rest_voltage_v is None else flight.rest_voltage_v / cells

    def started(part: str) -> Callable[[FlightFigures], float | None]:
        return lambda flight: next((h.start_c for h in flight.heat if h.part == part), None)

    return (
        _air(machine, before, after, density),
        _condition(START, "V a cell", _mean_of(before, rest), _mean_of(after, rest)),
        _condition(HOVER_VOLTS, "V", _hover_volts(before), _hover_volts(after), relative=True),
        _condition(PACK_HEAT, "°C", _mean_of(before, started("pack")), _mean_of(after, started("pack"))),
        _condition(OTHER_HEAT, "°C", _mean_of(before, started("controller")), _mean_of(after, started("controller"))),
    )


def _air(machine: Machine, before: Side, after: Side, stated: Pair) -> Condition:
    """Return the air density of both sides; what rests on the site alone is never said to be alike."""
    old, new = (
        density_of(machine, [log.trace for log in side.logs], told)
        for side, told in ((before, stated[0]), (after, stated[1]))
    )
    found = _condition(AIR, "kg/m³", old.kg_m3, new.kg_m3, relative=True)
    origins = [f"{name}: {one.origin}" for name, one in (("before", old), ("after", new)) if one.origin]
    found = replace(found, origin="; ".join(origins))
    if old.kg_m3 is None or new.kg_m3 is None or not (doubt := max(old.doubt_share, new.doubt_share)):
        return found
    if abs(new.kg_m3 - old.kg_m3) > (MATTERS[AIR] + doubt) * old.kg_m3:
        return found
    return replace(found, differs=None, reason="the day's air is not known on both sides: it may have differed")


def _condition(name: str, unit: str, before: float | None, after: float | None, *, relative: bool = False) -> Condition:
    differs: bool | None = None
    reason = "not known on both sides: it may have differed"
    if before is not None and after is not None:
        away = abs(after - before) / (abs(before) if relative and before else 1.0)
        differs = away > MATTERS[name]
        reason = f"differs by {after - before:+.3g} {unit}" if differs else f"alike, {after - before:+.2g} {unit}"
    return Condition(condition=name, unit=unit, before=before, after=after, differs=differs, reason=reason)


def _mean_of(side: Side, read: Callable[[FlightFigures], float | None]) -> float | None:
    known = [value for _, flight in side.flights if (value := read(flight)) is not None]
    return float(np.mean(known)) if known else None


def _hover_volts(side: Side) -> float | None:
    known = [w.pack_voltage_mean_v for log in side.logs for w in log.steady if w.hover]
    there = [volts for volts in known if volts is not None]
    return float(np.mean(there)) if there else None


def _warnings(before: Side, after: Side) -> tuple[str, ...]:
    words = [f"{log.log}: {warning}" for side in (before, after) for log in side.logs for warning in log.warnings]
    for name, side in (("before", before), ("after", after)):
        if len(side.flights) < 2:
            words.append(f"one flight {name} the change: what differs from day to day is not in the noise")
    return tuple(words)


def _reasons(changes: list[Change], worse: list[Change], better: list[Change]) -> tuple[str, ...]:
    if not worse and not better:
        told = any(change.said is not Said.UNTOLD for change in changes)
        return ("no figure became better or worse beyond noise",) if told else ("no figure could be compared",)
    return tuple(
        f"{change.figure.replace('_', ' ')}{_at(change)} is {change.said.value}" for change in (*worse, *better)
    )


def _at(change: Change) -> str:
    rpm = change.set_rpm if change.set_rpm is not None else change.set_rpm_after
    return "" if rpm is None else f" at {rpm:.0f} rpm"
