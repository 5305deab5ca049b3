"""What a change does: its checks before and after, whether that is better, and how sure."""

import re
from collections import Counter
from collections.abc import Container, Sequence

from steadyhead.advise.evidence import Evidence
from steadyhead.advise.harm import harmless, spoils
from steadyhead.advise.result import Change, Effect
from steadyhead.advise.seen import Seen
from steadyhead.advise.trial import Trial
from steadyhead.bench.void import VOID, changes_of, is_void
from steadyhead.words.verdict import Outcome, Verdict

MENDED, SPOILT, WORSE, BETTER = "mended", "spoilt", "worse", "better"
ORDER = (MENDED, SPOILT, WORSE, BETTER)
MOVED_SHARE = 0.01
"""A figure counts as moved from one per cent of its limit on."""
TOO_CLOSE = 0.1
"""A figure that moves is told only within a tenth of its limit, or when its verdict changes."""
MOST_TOLD = 12
ALWAYS_TOLD, ALWAYS_MOVED = "bail_out_height", 1.0
"""The height that a bail-out takes is told from one metre on, its limit known or not."""
HAIR, UNSURE = 0.1, 0.05
"""What a check that fails by a hair weighs beside one that misses by its whole limit, and one that failed and is now
unknown; own choice."""
LEAST_GAIN = 1e-9
"""Less than this is rounding."""
MODE_KEY = re.compile(r"flight_mode\.(\d+)\.")
Score = tuple[int, float, int]
Key = tuple[str, str, str]


def score(seen: Sequence[Seen], of: Container[Key] = ()) -> Score:
    """Return how bad checks are, less is better: how many fail, how far beyond their limits, how many are unknown.

    `of` are the checks that count as unknown: those that failed before.
    """
    return (
        sum(one.fails for one in seen),
        round(sum(max(one.excess, 0.0) for one in seen if one.fails), 9),
        sum(one.check.verdict is Outcome.UNKNOWN and one.key in of for one in seen),
    )


def shortfall(seen: Sequence[Seen], of: Container[Key] = ()) -> float:
    """Return how far checks are from holding, 0 where none fails: what is farthest beyond its limit counts most.

    Each failing check counts a tenth and how far it is beyond its limit, at most once the limit; one that fails in one
    of three flight modes counts a third of one that fails in all, since the same cause shows in every mode.
    `of` are the checks that count as unsure where they are unknown: those that failed before.
    """
    places = Counter((one.part, one.check.check) for one in seen)
    return sum(_weight(one, of) / places[one.part, one.check.check] for one in seen)


def _weight(one: Seen, of: Container[Key]) -> float:
    if one.fails:
        return HAIR + min(max(one.excess, 0.0), 1.0)
    return UNSURE if one.check.verdict is Outcome.UNKNOWN and one.key in of else 0.0


def helps(before: Sequence[Seen], after: Sequence[Seen]) -> bool:
    """Whether fewer checks fail, or as many and none that held before; and less is wrong in the sum.

    What makes judged figures worse by more than it makes others better is no advice, whatever else it does.
    """
    failed = {one.key for one in before if one.fails}
    if spoils(before, after) and score(after)[0] >= score(before)[0]:
        return False
    return left_wrong(after, failed) < left_wrong(before) - LEAST_GAIN


def left_wrong(seen: Sequence[Seen], of: Container[Key] = ()) -> float:
    """Return how far checks that fail are beyond their limits in the sum, however far, and a tenth for each.

    `of` are the checks that failed before: one of them that is unknown now is not mended, and counts as they do.
    """
    places = Counter((one.part, one.check.check) for one in seen)
    wrong = (one for one in seen if one.fails or (one.check.verdict is Outcome.UNKNOWN and one.key in of))
    return sum((HAIR + max(one.excess, 0.0)) / places[one.part, one.check.check] for one in wrong)


def mended(before: Sequence[Seen], after: Sequence[Seen]) -> int:
    """Return how many checks that failed pass after a change: one that is unknown then is not mended."""
    now = {one.key: one.outcome for one in after}
    return sum(one.fails and now.get(one.key) is Outcome.PASS for one in before)


def effects(before: Sequence[Seen], after: Sequence[Seen]) -> tuple[Effect, ...]:
    """Return the checks that a change moves, mended ones first; what it spoils is never left out."""
    new = {one.key: one for one in after}
    pairs = [(old, new[old.key]) for old in before if old.key in new]
    told = [_effect(old, now, moved) for old, now in pairs if (moved := _moved(old, now))]
    kept = sorted(told, key=lambda one: (one.moved != SPOILT, ORDER.index(one.moved)))[:MOST_TOLD]
    return tuple(sorted(kept, key=lambda one: ORDER.index(one.moved)))


def change_of(trial: Trial, before: Sequence[Seen], after: Sequence[Seen]) -> Change | None:
    """Return a trial as advice; None where it does not help, or harms more than it mends. Ranks are given later."""
    if not helps(before, after) or not harmless(before, after):
        return None
    found = effects(before, after)
    if trial.must_mend and not any(one.moved == MENDED for one in found):
        return None
    new = {one.key: one for one in after}
    helped = [one for one in before if one.fails and one.key in new and _moved(one, new[one.key]) in (MENDED, BETTER)]
    helped = [one for one in helped if not _of_another_mode(trial, one)] or helped
    return Change(
        rank=0,
        key=trial.key,
        what=trial.what,
        today=trial.today,
        to=trial.to,
        relative=trial.relative,
        numbers=dict(trial.numbers),
        why=tuple(dict.fromkeys(str(one) for one in helped)),
        mended=mended(before, after) - len(spoils(before, after)),
        effects=found,
        sure=_sure(found),
        note=trial.note,
        makes_void=void(trial.key),
    )


def _of_another_mode(trial: Trial, one: Seen) -> bool:
    """Whether a check is of another flight mode than the one that a trial moves: no reason for it."""
    own = MODE_KEY.match(trial.key)
    if own is None:
        return False
    moved = trial.machine.flight_mode[int(own.group(1)) - 1].name
    others = {mode.name for mode in trial.machine.flight_mode} - {moved}
    return not others.isdisjoint((one.key[2], one.key[2].rpartition(" ramp, ")[2]))


def broken(before: Sequence[Seen], spoilt: Sequence[Seen]) -> tuple[Seen, ...]:
    """Return those of the checks that begin to fail which passed before: the others were unknown."""
    passed = {one.key for one in before if one.check.verdict is Outcome.PASS}
    return tuple(one for one in spoilt if one.key in passed)


def void(key: str) -> tuple[str, ...]:
    """Return the checks that a change of machine-file keys makes void."""
    names = key.split(", ")
    changes = {change for name in names for change in changes_of(name if "." in name else f"{name}.")}
    return tuple(check for check in VOID if any(is_void(check, change) for change in changes))


def never_helps(before: Sequence[Seen], after: Sequence[Seen], elsewhere: int = 0) -> bool:
    """Whether the first part looked at says already that a change spoils more than it can mend.

    `elsewhere` counts the failing checks of the other parts that it touches, which may all be mended by it.
    """
    failed = {one.key for one in before if one.fails}
    spoils = any(one.fails and one.key not in failed for one in after)
    return spoils and score(after)[0] - score(before)[0] >= elsewhere


def parts_of(seen: Evidence, names: Sequence[str]) -> tuple[Seen, ...]:
    """Return the checks of some parts."""
    return tuple(one for name in names for one in seen.parts.get(name, ()))


def _moved(old: Seen, now: Seen) -> str:
    if old.fails and not now.fails:
        return MENDED
    if now.fails and not old.fails:
        return SPOILT
    away = now.excess - old.excess
    if now.check.check == ALWAYS_TOLD and old.check.figure and now.check.figure:
        metres = now.check.figure - old.check.figure
        return "" if abs(metres) < ALWAYS_MOVED else WORSE if metres > 0.0 else BETTER
    turned = old.check.verdict is not now.check.verdict
    if not turned and (abs(away) < MOVED_SHARE or max(now.excess, old.excess) < -TOO_CLOSE):
        return ""
    if turned and away == 0.0:
        return BETTER if now.check.verdict is Outcome.PASS else WORSE
    return WORSE if away > 0.0 else BETTER


def _effect(old: Seen, now: Seen, moved: str) -> Effect:
    was, will, place = _at_one_place(old, now, moved)
    return Effect(
        check=will.check,
        place=place,
        part=now.part,
        unit=will.unit or was.unit,
        # Of two sides the one that failed: the check after it may stand nearer to the other.
        limit_text=(was.limit_text if moved == MENDED else will.limit_text) or was.limit_text or will.limit_text,
        before=was.figure,
        before_interval=was.figure_interval,
        after=will.figure,
        after_interval=will.figure_interval,
        before_verdict=old.check.verdict,
        after_verdict=now.outcome,
        moved=moved,
        would_pass=now.would_pass,
    )


def _at_one_place(old: Seen, now: Seen, moved: str) -> tuple[Verdict, Verdict, str]:
    """Return a check before and after at one and the same place: where it failed, else where it is worst after."""
    if moved in (MENDED, BETTER) and old.place in now.everywhere:
        return old.check, now.everywhere[old.place], old.place
    return old.everywhere.get(now.place, old.check), now.check, now.place


def _sure(found: Sequence[Effect]) -> str:
    """Return how sure the mending is, in words; a simulation is never a proof."""
    aimed = [one for one in found if one.moved in (MENDED, BETTER) and one.before_verdict is Outcome.FAIL]
    held = [one for one in aimed if one.after_verdict is Outcome.PASS]
    bare = [one for one in aimed if one.would_pass]
    doubted = [one for one in aimed if one.after_verdict is Outcome.UNKNOWN and not one.would_pass]
    still = [one for one in aimed if one.after_verdict is Outcome.FAIL]
    said = []
    doubt_known = [one for one in held if one.after_interval is not None]
    if doubt_known:
        said.append(f"{_names(doubt_known)}: the whole 90 % interval keeps the limit after it")
    if len(doubt_known) < len(held):
        words = [one for one in held if one.after_interval is None]
        said.append(f"{_names(words)}: passes after it, without an interval")
    if bare:
        said.append(f"{_names(bare)}: would pass after it, but its doubt was not worked out")
    if doubted:
        said.append(f"{_names(doubted)}: no longer fails, but its doubt leaves it unknown")
    if still:
        said.append(f"{_names(still)}: better, and still fails")
    return "; ".join([*said, "computed, not measured"])


def _names(found: Sequence[Effect]) -> str:
    return ", ".join(dict.fromkeys(one.check.replace("_", " ") for one in found))
