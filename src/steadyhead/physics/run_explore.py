"""Walks over every state that switches, waits and rotor can bring the controller into, fewest switch moves first."""

from typing import NamedTuple

import numpy as np

from steadyhead.physics.kernel import kernel
from steadyhead.physics.run_state import OFF, QUICK, SOFT, UNARMED, WAITING, is_driven
from steadyhead.physics.run_walk import (
    HOLD,
    Course,
    Rule,
    Seen,
    begun,
    come_to_rest,
    is_still,
    may_jump,
    packed,
    switched,
    ticked,
    unpacked,
)
from steadyhead.physics.state_table import FREE, StateTable, Whole, empty_table, place_of

TICK, AT_SPEED, JUMP = 0, 1, 2
CAME_TO_REST = 4
"""Added to a tick in which the head comes to rest."""
SWITCH = 8
"""SWITCH + k moves the switches to position k; POSITIONS * (j + 1) more moves them on to j after a stay."""
POSITIONS = 64
BEGUN = -1
NEVER = 1 << 60
RULES = len(Rule)
AFTER_TICKS = 40
"""How long hold is watched after the motor should be off, where the controller does not come to rest before."""
REMEMBERED = 1 << 16
"""Stays in hold that were worked out; one that falls out of this many is only worked out again."""
BEFORE_STAY = 1 << 46
"""Marks a stay in hold at its beginning, apart from one at its end."""


class Walk(NamedTuple):
    """What is known of every state found: where from, by which action, after how many switch moves; and the breaches.

    Shapes: parent, action, moves (n,); broken_at, broken_by (2 rules,): the state before a rule broke and the action,
    then the same for breaches in which the rotor hurries. known_first, known_second:
    stays in hold that were worked out.
    """

    table: StateTable
    parent: Whole
    action: Whole
    moves: Whole
    now: Whole
    later: Whole
    broken_at: Whole
    broken_by: Whole
    known_first: Whole
    known_second: Whole


class Lists(NamedTuple):
    """Places still to look at: those of this number of moves, and those of one more; and how many of each."""

    now: Whole
    later: Whole
    waiting: int
    put_off: int


def empty_walk(room: int) -> Walk:
    """Return a walk that takes `room` states."""
    return Walk(
        table=empty_table(room),
        parent=np.full(room, BEGUN, np.int64),
        action=np.full(room, BEGUN, np.int64),
        moves=np.full(room, NEVER, np.int64),
        now=np.zeros(2 * room, np.int64),
        later=np.zeros(2 * room, np.int64),
        broken_at=np.full(2 * len(Rule), FREE, np.int64),
        broken_by=np.full(2 * len(Rule), FREE, np.int64),
        known_first=np.full(REMEMBERED, FREE, np.int64),
        known_second=np.full(REMEMBERED, FREE, np.int64),
    )


@kernel
def explore(course: Course, walk: Walk) -> bool:
    """Whether every state was reached; False when the walk has no room for all.

    States are taken in the order of switch moves, and among those of one number of moves in the order of finding.
    A power-up elsewhere than in throttle hold counts as a move: the usual story is told first.
    Valid: an empty walk; a course with at least one position.
    Source: breadth-first search with lists for costs 0 and more, any algorithms textbook.
    """
    lists = Lists(walk.now, walk.later, 0, 0)
    for target in range(course.places.size):
        if course.nominal[target]:
            extra = 0 if course.places[target] == HOLD else 1
            lists = added(lists, found(walk, begun(course, target), BEGUN, BEGUN, extra), extra == 1)
    level = 0
    while lists.waiting > 0 or lists.put_off > 0:
        k = 0
        while k < lists.waiting:
            place = lists.now[k]
            k += 1
            if walk.moves[place] == level:
                look_ahead(course, walk, place)
                lists = let_time_pass(course, walk, place, lists)
                lists = move_switches(course, walk, place, lists)
            elif walk.moves[place] > level:
                lists = added(lists, place, True)
        if lists.waiting < 0:
            return False
        lists = Lists(lists.later, lists.now, lists.put_off, 0)
        level += 1
    return True


@kernel
def found(walk: Walk, seen: Seen, parent: int, action: int, moves: int) -> int:
    """Place of a state if it is new or reached with fewer moves than before, -1 if not, -2 when there is no room.

    Valid: any state.
    Source: as `explore`.
    """
    first, second = packed(seen)
    place = place_of(walk.table, first, second)
    if place == FREE:
        return -2
    if walk.moves[place] <= moves:
        return -1
    walk.moves[place] = moves
    walk.parent[place] = parent
    walk.action[place] = action
    return place


@kernel
def let_time_pass(course: Course, walk: Walk, place: int, lists: Lists) -> Lists:
    """Both lists after everything that one tick can bring; -1 as a length: no room.

    What takes the rotor or a clock long while channel and controller still move counts as a switch move: a story in
    which the flyer waits first is told before one in which the rotor hurries.
    Valid: `place` is that of a state of this number of moves.
    Source: as `explore`.
    """
    seen = unpacked(walk.table.first[place], walk.table.second[place])
    moves = walk.moves[place]
    later, broken_later = ticked(course, seen, False, False)
    moving = 0 if is_still(seen, later) else 1
    for action in (TICK, AT_SPEED, JUMP):
        if action == AT_SPEED and seen.run not in (SOFT, QUICK):
            continue
        if action == JUMP and not may_jump(course, seen):
            continue
        after, broken = later, broken_later
        if action != TICK:
            after, broken = ticked(course, seen, action == AT_SPEED, action == JUMP)
        hurried = moving if action != TICK else 0
        if broken and hurried == 0:
            tell(walk, broken, place, action)
        if broken and hurried:
            tell(walk, broken << RULES, place, action)
        for rests in range(2):
            if rests:
                if after.turning == 0 or after.run not in (UNARMED, OFF, WAITING):
                    continue
                after = come_to_rest(after)
                hurried = moving
            new = found(walk, after, place, action + CAME_TO_REST * rests, moves + hurried)
            lists = added(lists, new, hurried == 1)
    return lists


@kernel
def move_switches(course: Course, walk: Walk, place: int, lists: Lists) -> Lists:
    """Both lists after every move of the switches; -1 as a length: no room.

    A move while the channel still moves counts twice: the unhurried story is told first.
    Valid: `place` is that of a state of this number of moves.
    Source: as `explore`.
    """
    seen = unpacked(walk.table.first[place], walk.table.second[place])
    moves = walk.moves[place] + 1
    if seen.channel != course.percent_steps[seen.target]:
        moves += 1
    for target in range(course.places.size):
        if target != seen.target:
            new = found(walk, switched(course, seen, target), place, SWITCH + target, moves)
            lists = added(lists, new, True)
    return lists


@kernel
def added(lists: Lists, place: int, is_later: bool) -> Lists:
    """Both lists with a new place at the end of one of them; unchanged by -1, without room after -2.

    Valid: any lists.
    Source: as `explore`.
    """
    if place == -1 or lists.waiting < 0:
        return lists
    if place == -2 or lists.waiting >= lists.now.size or lists.put_off >= lists.later.size:
        return Lists(lists.now, lists.later, -1, -1)
    if is_later:
        lists.later[lists.put_off] = place
        return Lists(lists.now, lists.later, lists.waiting, lists.put_off + 1)
    lists.now[lists.waiting] = place
    return Lists(lists.now, lists.later, lists.waiting + 1, lists.put_off)


@kernel
def tell(walk: Walk, broken: int, place: int, action: int) -> None:
    """Note the first breach of each rule: the state before it and the action.

    Valid: `broken` holds the rules as bits.
    Source: definition.
    """
    for rule in range(walk.broken_at.size):
        if broken >> rule & 1 and walk.broken_at[rule] == FREE:
            walk.broken_at[rule] = place
            walk.broken_by[rule] = action


@kernel
def look_ahead(course: Course, walk: Walk, place: int) -> None:
    """Note whether throttle hold, selected now, would not stop the motor, or would have to be selected twice.

    Valid: `place` is that of a state found.
    Source: rules of this tool; common practice, no source.
    """
    seen = unpacked(walk.table.first[place], walk.table.second[place])
    for target in range(course.places.size):
        if course.places[target] != HOLD:
            continue
        in_hold = switched(course, seen, target)
        if is_remembered(walk, in_hold, BEFORE_STAY):
            continue
        if walk.broken_at[Rule.HOLD_STOPS] == FREE and not hold_stops(course, in_hold):
            tell(walk, 1 << Rule.HOLD_STOPS, place, SWITCH + target)
        remember(walk, in_hold, BEFORE_STAY)
        if walk.broken_at[Rule.ONE_HOLD_IS_ENOUGH] != FREE or course.nominal[target] == 0:
            continue
        rested = after_stay(course, in_hold)
        if is_driven(rested.run) or is_remembered(walk, rested, 0):
            continue
        all_start = True
        for mode in range(course.places.size):
            if course.starts[mode] and not starts(course, switched(course, rested, mode)):
                all_start = False
                tell(walk, 1 << Rule.ONE_HOLD_IS_ENOUGH, place, SWITCH + target + POSITIONS * (mode + 1))
        if all_start:
            remember(walk, rested, 0)


@kernel
def hold_stops(course: Course, seen: Seen) -> bool:
    """Whether the motor is undriven after the time that hold takes, and stays so.

    Valid: hold is selected in `seen`.
    Source: as `look_ahead`.
    """
    for tick in range(course.hold_ticks + AFTER_TICKS):
        before = seen
        seen, _broken = ticked(course, seen, False, False)
        if is_still(before, seen):
            return not is_driven(seen.run)
        if tick + 1 >= course.hold_ticks and is_driven(seen.run):
            return False
    return True


@kernel
def after_stay(course: Course, seen: Seen) -> Seen:
    """State after one stay in throttle hold.

    Valid: hold is selected in `seen`.
    Source: as `look_ahead`.
    """
    for _ in range(course.stay_ticks):
        before = seen
        seen, _broken = ticked(course, seen, False, False)
        if is_still(before, seen):
            return seen
    return seen


@kernel
def rest_key(in_hold: Seen, mark: int) -> tuple[int, int]:
    """Both whole numbers that stand for all that decides whether the motor is driven during and after a stay in hold.

    Valid: hold selected; a soft and a quick ramp count as one, since the clocks of a permission decide nothing else.
    Source: `run_state.advance`.
    """
    run = SOFT if in_hold.run == QUICK else in_hold.run
    first = run | in_hold.waited << 3 | in_hold.below_stop << 15 | in_hold.below_clear << 27
    return first, in_hold.channel | in_hold.target << 18 | in_hold.visits << 41 | mark


@kernel
def slot_of(first: int, second: int) -> int:
    """Slot of a stay in hold, 0 to 65535.

    Valid: as `rest_key`.
    Source: multiplicative hashing, any algorithms textbook; mixing constants from memory.
    """
    mixed = (first * 0x9E3779B1 + second * 0x85EBCA77) & 0x3FFFFFFFFFFFFFFF
    return (mixed ^ mixed >> 29) % REMEMBERED


@kernel
def is_remembered(walk: Walk, in_hold: Seen, mark: int) -> bool:
    """Whether a stay in hold was worked out: at its beginning all of it, at its end that every mode starts after it.

    Valid: as `rest_key`.
    Source: definition.
    """
    first, second = rest_key(in_hold, mark)
    slot = slot_of(first, second)
    return bool(walk.known_first[slot] == first and walk.known_second[slot] == second)


@kernel
def remember(walk: Walk, in_hold: Seen, mark: int) -> None:
    """Note that a stay in hold was worked out, and told where it broke a rule.

    Valid: as `rest_key`.
    Source: definition.
    """
    first, second = rest_key(in_hold, mark)
    slot = slot_of(first, second)
    walk.known_first[slot] = first
    walk.known_second[slot] = second


@kernel
def starts(course: Course, seen: Seen) -> bool:
    """Whether the motor comes in within the time that a start takes.

    Valid: a flight mode is selected in `seen`.
    Source: as `look_ahead`.
    """
    for _ in range(course.start_ticks):
        seen, _broken = ticked(course, seen, False, False)
        if is_driven(seen.run):
            return True
    return False
