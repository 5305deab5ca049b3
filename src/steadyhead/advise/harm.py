"""What a change makes worse, and whether what it mends is worth it."""

from collections import Counter
from collections.abc import Mapping, Sequence

from steadyhead.advise.seen import Seen
from steadyhead.words.verdict import Outcome

HEATS_ONLY = ("hover_duty",)
"""A hover duty outside its limits heats the controller or asks for head-room, and both have checks of their own."""
GOVERNED = ("steady_band", "climb_droop", "overspeed", "recovery", *HEATS_ONLY)
"""How well the head is held; all other checks say what drive, pack, loop or pilot bear."""
WORSE_SHARE = 0.01
"""A failing figure is worse from one per cent of its limit on, as a figure counts as moved."""
NO_LONGER_FAILS = 0.5
"""What a check that failed and is unknown after a change weighs beside one that passes then; own choice."""
Key = tuple[str, str, str]


def harmless(before: Sequence[Seen], after: Sequence[Seen]) -> bool:
    """Whether no failing check is made worse and none begins to fail, or more are mended than that.

    A check in one of three flight modes counts a third. A better governed head does not pay for a drive, a pack or a
    loop that is worse off: what is mended of those must outweigh it alone.
    """
    harmed = harms(before, after)
    places = Counter((one.part, one.check.check) for one in before)
    old = {one.key: one for one in before}
    net = {True: 0.0, False: 0.0}
    for one in after:
        gain = (_mended(old, one) if one.key in old else 0.0) - (one in harmed)
        net[one.check.check in GOVERNED] += gain / max(places[one.part, one.check.check], 1)
    protects = any(one.check.check not in GOVERNED for one in harmed)
    return not harmed or (net[True] + net[False] > 0.0 and (not protects or net[False] > 0.0))


def harms(before: Sequence[Seen], after: Sequence[Seen]) -> tuple[Seen, ...]:
    """Return the checks that fail after a change, and by more than before or not before.

    Left out is a check that is better where it is worst: what one place loses there is less than what another gains.
    """
    old = {one.key: one for one in before}
    better = _better_at_worst(before, after)
    return tuple(
        one
        for one in after
        if one.fails and one.key in old and one.check.check not in (*HEATS_ONLY, *better) and _worse(old[one.key], one)
    )


def spoils(before: Sequence[Seen], after: Sequence[Seen]) -> tuple[Seen, ...]:
    """Return the checks that did not fail before and fail after a change, and are not better where they are worst."""
    failed = {one.key for one in before if one.fails}
    known = {one.key for one in before}
    better = _better_at_worst(before, after)
    return tuple(
        one for one in after
        if one.fails and one.key in known and one.key not in failed and one.check.check not in better
    )  # fmt: skip


def _better_at_worst(before: Sequence[Seen], after: Sequence[Seen]) -> set[str]:
    """Return the checks that fail before, and are less far beyond their limit after, each where it is worst."""
    then, now = _worst(before), _worst(after)
    return {name for name, excess in then.items() if name in now and now[name] < excess - WORSE_SHARE}


def _worst(seen: Sequence[Seen]) -> dict[str, float]:
    worst: dict[str, float] = {}
    for one in seen:
        if one.fails:
            worst[one.check.check] = max(worst.get(one.check.check, one.excess), one.excess)
    return worst


def _worse(old: Seen, now: Seen) -> bool:
    return not old.fails or now.excess > old.excess + WORSE_SHARE


def _mended(old: Mapping[Key, Seen], now: Seen) -> float:
    if not old[now.key].fails or now.fails:
        return 0.0
    return 1.0 if now.check.verdict is Outcome.PASS else NO_LONGER_FAILS
