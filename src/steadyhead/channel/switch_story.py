"""From a breach that the walk found to a story that was played through: who moves what, when, and what happens.

A story is told only when the controller, played step by step, breaks the rule in it.
"""

from collections.abc import Iterator
from typing import NamedTuple

from steadyhead.channel.logic_result import StoryStep
from steadyhead.channel.switch_course import Walkable
from steadyhead.channel.switch_replay import Player
from steadyhead.physics.run_explore import AFTER_TICKS, AT_SPEED, BEGUN, CAME_TO_REST, JUMP, POSITIONS, SWITCH, Walk
from steadyhead.physics.run_state import Run
from steadyhead.physics.run_walk import Rule

COAST_S = 2.0
"""How long a head without blades takes to stop at least; common practice, no source."""
LONGEST_S = 400.0
MORE_S = 0.1
"""Two ticks: what rounding to ticks may take off a governed run that is just long enough."""
LINGER_S = (MORE_S, 1.0)
"""How much longer a hand waits where the shortest story does not play: two ticks, or as long as it takes to look. Own
choice."""
BREACH_SAYS = {
    Rule.HOLD_STOPS: "throttle hold is selected and the motor is still driven",
    Rule.SOFT_FROM_REST: "a quick ramp from rest",
    Rule.AUTOROTATION_STAYS_OFF: "the motor starts from rest in the autorotation position",
    Rule.QUICK_IS_EARNED: "a quick ramp that no governed run since the last throttle hold has earned",
    Rule.ONE_HOLD_IS_ENOUGH: "the motor does not start: throttle hold would have to be selected again",
    Rule.POWER_UP_IS_STILL: "the motor is driven though only flight modes were selected since the pack was connected",
    Rule.BAIL_OUT_IS_QUICK: "the bail-out brings the slow ramp",
}


class Pace(NamedTuple):
    """How a walk is played.

    `is_lifelike`: ramps and coasting take the time they take wherever the channel stands still. `more_s`: how much
    longer than in the walk a governed run lasts. `linger_s`: how much longer the hand waits before each move.
    `in_ticks`: in the steps and with the rounded times of the walk.
    """

    is_lifelike: bool
    more_s: float
    linger_s: float = 0.0
    in_ticks: bool = False


PACES = (
    *(Pace(lifelike, more_s) for lifelike in (True, False) for more_s in (0.0, MORE_S)),
    *(Pace(True, more_s, linger_s) for linger_s in LINGER_S for more_s in (0.0, MORE_S)),
    Pace(True, 0.0, in_ticks=True),
    Pace(False, 0.0, in_ticks=True),
)
"""The most lifelike first. A story that plays in ticks alone turns on less than a tick: no setting is known so well."""


class Story(NamedTuple):
    """The lines of a story, how often the switches are moved in it, and whether it turns on less than a tick."""

    steps: tuple[StoryStep, ...]
    moves: int
    is_hair_fine: bool = False


def story(walkable: Walkable, walk: Walk, rule: Rule) -> Story | None:
    """Return the story of the breach that the walk found for a rule; None when none was found or none plays through.

    First with ramps and coasting as long as they take, then as short as the walk took them.
    """
    for noted in (int(rule), int(rule) + len(Rule)):
        if walk.broken_at[noted] < 0:
            continue
        actions = list(_actions(walk, noted))
        for pace in PACES:
            player = played(walkable, actions, rule, pace)
            if rule in player.watch.broken:
                return _told(player, rule)._replace(is_hair_fine=pace.in_ticks)
    return None


def is_broken(walk: Walk, rule: Rule) -> bool:
    """Whether the walk found any breach of a rule."""
    return bool(walk.broken_at[rule] >= 0 or walk.broken_at[rule + len(Rule)] >= 0)


def late_hold(walkable: Walkable, limit_s: float) -> Story | None:
    """Return the story of a throttle hold that stops the motor later than `limit_s`, from the highest position."""
    from steadyhead.channel.run_logic import Place

    holds = [v for v in walkable.variants if v.position.place is Place.HOLD and v.off_percent == 0.0]
    modes = [v for k, v in enumerate(walkable.variants) if walkable.course.starts[k]]
    if not holds or not modes:
        return None
    player = Player(walkable, holds[0], hold_limit_s=limit_s)
    player.wait(walkable.stay_s + walkable.rules.arm_s)
    player.select(max(modes, key=lambda v: v.percent))
    player.wait(walkable.start_s + 100.0 / max(player.rates[False], 1.0) + walkable.rules.soft_spool_s)
    player.reach_speed()
    player.wait(1.0)
    player.select(holds[0])
    player.wait(limit_s + walkable.hold_s)
    return _told(player, Rule.HOLD_STOPS) if Rule.HOLD_STOPS in player.watch.broken else None


def played(walkable: Walkable, actions: list[int], rule: Rule, pace: Pace) -> Player:
    """Play the actions of a walk, the first of which says where the switches stood at power-up."""
    player = Player(walkable, walkable.variants[actions[0]], in_ticks=pace.in_ticks)
    for action in actions[1:]:
        if rule in player.watch.broken or player.time_s > LONGEST_S:
            break
        if action >= SWITCH:
            player.wait(pace.linger_s)
            _select(walkable, player, action - SWITCH)
        else:
            _pass(walkable, player, action, pace)
    if rule is Rule.HOLD_STOPS:
        player.wait(walkable.hold_s + AFTER_TICKS * walkable.course.tick_s)
    return player


def _select(walkable: Walkable, player: Player, code: int) -> None:
    """Move the switches; a code beyond the positions means a stay there and then a mode."""
    mode, target = divmod(code, POSITIONS)
    player.select(walkable.variants[target])
    if mode:
        player.wait(walkable.stay_s)
        player.select(walkable.variants[mode - 1])
        player.wait(walkable.start_s)


def _pass(walkable: Walkable, player: Player, action: int, pace: Pace) -> None:
    """Let one tick of the walk pass, with what belongs to it."""
    tick_s, kind = walkable.course.tick_s, action % CAME_TO_REST
    if kind == JUMP:
        _wait_long(walkable, player, pace.more_s)
    if kind == AT_SPEED:
        if pace.is_lifelike and player.is_settled:
            rules = walkable.rules
            ramp_s = rules.quick_spool_s if player.state.run == Run.QUICK else rules.soft_spool_s
            player.wait(ramp_s - player.state.in_run_s)
        player.reach_speed()
    if not (pace.in_ticks and kind == AT_SPEED):
        player.wait(tick_s)
    if action >= CAME_TO_REST:
        if pace.is_lifelike and player.is_settled:
            player.wait(COAST_S)
        player.head_stops()


def _wait_long(walkable: Walkable, player: Player, more_s: float) -> None:
    """Wait until the clock that runs is near its limit."""
    rules, course = player.rules, walkable.course
    governed_s = rules.governed_before_s - course.governed_near * course.tick_s
    permission_s = rules.permission_s - course.permission_near * course.tick_s
    left = [0.0]
    if player.state.run in (Run.SOFT, Run.QUICK, Run.GOVERNED):
        left.append(governed_s - player.state.governed_s + more_s)
    if player.state.permitted_s >= 0.0:
        left.append(permission_s - player.state.permitted_s)
    elif player.watch.promised_s is not None:
        left.append(permission_s - player.watch.promised_s)
    player.wait(max(left))


def _actions(walk: Walk, noted: int) -> Iterator[int]:
    """Return the position at power-up, then every action up to the breach."""
    place = int(walk.broken_at[noted])
    back = [int(walk.broken_by[noted])]
    while walk.action[place] != BEGUN:
        back.append(int(walk.action[place]))
        place = int(walk.parent[place])
    yield _first_target(walk, place)
    yield from reversed(back)


def _first_target(walk: Walk, place: int) -> int:
    return int(walk.table.second[place]) >> 18 & POSITIONS - 1


def _told(player: Player, rule: Rule) -> Story:
    at_s = player.watch.broken[rule]
    kept = tuple(step for step in player.steps if step.time_s <= at_s + 0.005)
    return Story((*kept, StoryStep(time_s=round(at_s, 2), who="rule", says=BREACH_SAYS[rule])), player.moves)
