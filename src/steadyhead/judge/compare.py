"""Says which figures changed beyond noise between logs before and after a change, and what else could be the cause."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from steadyhead.judge.compare_change import Measured, measured_change, too_few, within_noise
from steadyhead.judge.compare_conditions import Pair, conditions_of
from steadyhead.judge.compare_figures import (
    BROUGHT_ALONG,
    CLIMB_LOAD,
    FED,
    FIGURES,
    NOISE,
    PACK_HEAT,
    SAME_MODE_SHARE,
    SENSING,
    Compared,
    Sample,
    Side,
    paired_modes,
)
from steadyhead.judge.compare_noise import made_by_noise
from steadyhead.judge.compare_result import MOVED, Change, Comparison, Condition, Said
from steadyhead.judge.compare_unknown import WOULD_TELL, could_do_it, differences, load_could_do_it, warmth_could_do_it
from steadyhead.judge.noise import CHANCE, beyond_noise_by_family
from steadyhead.judge.other_machine import MISFIT
from steadyhead.judge.result import Judgement
from steadyhead.judge.same_log import once, shared_logs
from steadyhead.judge.simulated_log import WARNING
from steadyhead.machine.description import Machine
from steadyhead.words.cautions import ALL
from steadyhead.words.verdict import Outcome

ALIKE_SPEED = 0.01
OTHER_SPEED = "the other head speed"
FED_SPEED = 0.002
CUBE = 4.0
"""Another head speed from `FED_SPEED` on moves power, duty and current, at most by so many times its own share: power
goes with the cube, and one more for what goes beside it. Both: own choice."""
OTHER_MACHINE = "the logs of one side alone do not fit this machine file, see the warnings: two machines do not compare"
SAME_LOG = "the same log lies on both sides, and shows no change whatever was changed"


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
    (before, again), (after, also) = (once([(log.trace, log) for log in side]) for side in (before, after))
    sides = Side(before), Side(after)
    shared = shared_logs(*([log.trace for log in side] for side in (before, after)))
    conditions = conditions_of(machine, *sides, density)
    found = _changes(*sides)
    decided = _decided(found)
    void = SAME_LOG if shared else OTHER_MACHINE if _fits(before) is not _fits(after) else ""
    changes = [_no_change(one.change, void) for one in found] if void else _with_causes(decided, conditions)
    perhaps = _perhaps_worse([one for _, one in decided], changes, conditions)
    worse = [c for c in changes if c.said is Said.WORSE]
    better = [c for c in changes if c.said is Said.BETTER]
    flown = (WARNING,) if any(log.trace.simulated for log in (*before, *after)) else ()
    return Comparison(
        machine=machine.name,
        before=tuple(log.log for log in before),
        after=tuple(log.log for log in after),
        changes=tuple(changes),
        conditions=conditions,
        warnings=(*shared, *again, *also, *_warnings(*sides)),
        verdict=Outcome.FAIL if worse else Outcome.PASS if better and not perhaps and not flown else Outcome.UNKNOWN,
        reasons=(void,)
        if void
        else (*_reasons(changes, worse, better, conditions), *(perhaps if better else ()), *flown),
        cautions=ALL,
    )


def _changes(before: Side, after: Side) -> list[Measured]:
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
                found.append(measured_change(kept, (rpm, partner), here, there))
    return found


def _of_mode(samples: list[Sample], rpm: float | None) -> list[Sample]:
    if rpm is None:
        return []
    return [s for s in samples if s.set_rpm is not None and abs(s.set_rpm - rpm) <= 0.5 * SAME_MODE_SHARE * rpm]


def _decided(found: list[Measured]) -> list[tuple[Compared, Change]]:
    """Say which figures changed, all of them looked at together, each at its set speeds as one family."""
    told = [k for k, one in enumerate(found) if one.change.chance is not None]
    families = [[k for k in told if found[k].kept.figure == figure] for figure in _figures(found, told)]
    moves = beyond_noise_by_family([[found[k].change.chance or 0.0 for k in family] for family in families])
    said = {
        k: _said_of(found[k], moved, CHANCE / (len(families) * len(family)))
        for family, moved_ones in zip(families, moves, strict=True)
        for k, moved in zip(family, moved_ones, strict=True)
    }
    return [(one.kept, said.get(k, one.change)) for k, one in enumerate(found)]


def _figures(found: list[Measured], told: list[int]) -> list[str]:
    return list(dict.fromkeys(found[k].kept.figure for k in told))


def _said_of(one: Measured, moved: bool, asked: float) -> Change:
    """Return a figure with what is said of it; `asked` is the chance at which it would surely be said to have moved."""
    if moved:
        return replace(one.change, said=_said(one.kept, one.change))
    return too_few(one, asked) if (one.change.chance or 0.0) < CHANCE else within_noise(one)


def _said(kept: Compared, change: Change) -> Said:
    if kept.less_is_better is None:
        return Said.CHANGED
    return Said.BETTER if ((change.change or 0.0) < 0.0) == kept.less_is_better else Said.WORSE


def _no_change(change: Change, why: str) -> Change:
    return replace(change, said=Said.UNTOLD, reason=why)


def _fits(logs: Sequence[Judgement]) -> bool:
    """Whether every log of a side can be of the machine of the file."""
    return not any(warning.startswith(MISFIT) for log in logs for warning in log.warnings)


def _with_causes(found: list[tuple[Compared, Change]], conditions: tuple[Condition, ...]) -> list[Change]:
    """Name, for each figure that changed, the conditions that could have done it, and take back what they forbid."""
    differs = differences(conditions, [change for _, change in found])
    heat = next(one for one in conditions if one.condition == PACK_HEAT)
    made = [
        _with_cause(kept, change, differs, conditions) if change.said in MOVED else change for kept, change in found
    ]
    return [_as_warm(change, heat) if change.said in MOVED else change for change in made]


def _as_warm(change: Change, heat: Condition) -> Change:
    """Return the pack's resistance as neither better nor worse where two packs that are alike may differ so far."""
    if not warmth_could_do_it(change, heat):
        return change
    return replace(change, said=Said.CHANGED, could_be=tuple(dict.fromkeys((*change.could_be, PACK_HEAT))))


def _perhaps_worse(
    decided: Sequence[Change], changes: Sequence[Change], conditions: Sequence[Condition]
) -> tuple[str, ...]:
    """Say of each figure that would be worse, had not something that nobody knows perhaps done it."""
    differs = {one.condition: one.differs is True for one in conditions} | {OTHER_SPEED: True}
    return tuple(
        f"{one.figure.replace('_', ' ')}{_at(one)} may be worse, or it was: {', '.join(one.could_be)}"
        for before, one in zip(decided, changes, strict=True)
        if before.said is Said.WORSE and one.said is Said.CHANGED and not any(differs[name] for name in one.could_be)
    )


def _with_cause(
    kept: Compared, change: Change, differs: Mapping[str, bool | None], conditions: tuple[Condition, ...]
) -> Change:
    """Return a changed figure with what else could have done it.

    Logs that were taken in another way tell nothing of the machine. Where a cause that the change itself does not
    bring along is known to differ, or is not known and could do as much, neither better nor worse is said.
    """
    sensed = [name for name in kept.moved_by if name in SENSING and differs.get(name) is True]
    sensed = [name for name in sensed if name != NOISE or made_by_noise(change, conditions)]
    if sensed:
        reason = f"the two sides were not logged alike ({', '.join(sensed)}): log both in the same way"
        return replace(change, said=Said.UNTOLD, reason=reason, could_be=tuple(sensed))
    load = next(one for one in conditions if one.condition == CLIMB_LOAD)
    causes = [name for name in kept.moved_by if name not in SENSING and differs.get(name) is not False]
    # A power that is not known tells no more than the pitch and the air that make it.
    causes = [name for name in causes if name != CLIMB_LOAD or (load.differs and load_could_do_it(change, load))]
    speed = _other_speed(change)
    excused = bool(speed) or any(
        name not in BROUGHT_ALONG if differs[name] is True else could_do_it(change, name) for name in causes
    )
    causes.sort(key=lambda name: differs[name] is not True)
    said = Said.CHANGED if excused else change.said
    return replace(change, said=said, could_be=(*speed, *causes))


def _other_speed(change: Change) -> tuple[str, ...]:
    """Return the other head speed where it could have moved a figure of its flight mode."""
    old, new = change.set_rpm, change.set_rpm_after
    if old is None or new is None or change.figure == "head_speed_rpm":
        return ()
    share = abs(new - old) / old
    fed = change.figure in FED and share > FED_SPEED and change.before and change.change is not None
    if share > ALIKE_SPEED or (fed and abs(change.change or 0.0) <= CUBE * share * abs(change.before or 0.0)):
        return (OTHER_SPEED,)
    return ()


def _warnings(before: Side, after: Side) -> tuple[str, ...]:
    words = [f"{log.log}: {warning}" for side in (before, after) for log in side.logs for warning in log.warnings]
    for name, side in (("before", before), ("after", after)):
        if len(side.flights) < 2:
            words.append(f"one flight {name} the change: what differs from day to day is not in the noise")
    return tuple(words)


def _reasons(
    changes: list[Change], worse: list[Change], better: list[Change], conditions: Sequence[Condition]
) -> tuple[str, ...]:
    excused = dict.fromkeys(name for change in changes if change.said in MOVED for name in change.could_be)
    unlike = dict.fromkeys(name for change in changes if change.said is Said.UNTOLD for name in change.could_be)
    if not worse and not better and (excused or unlike):
        words = ["no figure became better or worse that nothing else explains"]
        words += [f"the sides were not logged alike: {', '.join(unlike)}"] if unlike else []
        words += [f"what changed could be the work of: {', '.join(excused)}"] if excused else []
        unknown = [one.condition for one in conditions if one.differs is None and one.condition in excused]
        tell = [WOULD_TELL[name] for name in unknown if name in WOULD_TELL]
        return (*words, *([f"it would tell: {'; '.join(tell)}"] if tell else []), *_too_few(changes))
    if not worse and not better:
        told = any(change.said is not Said.UNTOLD for change in changes)
        words = ["no figure became better or worse beyond noise"] if told else ["no figure could be compared"]
        return (*words, *_too_few(changes))
    moved = (f"{one.figure.replace('_', ' ')}{_at(one)} is {one.said.value}" for one in (*worse, *better))
    return (*moved, *_too_few(changes))


def _too_few(changes: Sequence[Change]) -> Iterator[str]:
    """Name the figures that too few flights leave open, with how many a side would tell."""
    for one in changes:
        if one.said is Said.FEW:
            more = f", about {one.flights_to_tell} a side would" if one.flights_to_tell else ""
            yield f"{one.figure.replace('_', ' ')}{_at(one)}: {one.said.value}{more}"


def _at(change: Change) -> str:
    rpm = change.set_rpm if change.set_rpm is not None else change.set_rpm_after
    return "" if rpm is None else f" at {rpm:.0f} rpm"
