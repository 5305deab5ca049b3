"""`logic`: every switch sequence checked against the safety rules."""

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from steadyhead.channel.logic_result import LogicAnswer, RuleAnswer, Setting, StoryStep
from steadyhead.channel.run_logic import Permission, Place, RunLogic
from steadyhead.channel.run_logic_of import run_logic
from steadyhead.channel.switch_course import Walkable, hold_takes_s, walkable
from steadyhead.channel.switch_rules import NAMED_LIKE, NAMES, SAYS, basis, how_to_measure, unknown
from steadyhead.channel.switch_story import Story, is_broken, late_hold, story
from steadyhead.machine.description import Machine
from steadyhead.physics.run_explore import Walk, empty_walk, explore
from steadyhead.physics.run_state import Run
from steadyhead.physics.run_walk import STEPS_PER_PERCENT, Rule
from steadyhead.words.cautions import ADVICE_ONLY, BENCH
from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

ROOMS = (1 << 16, 1 << 18, 1 << 20, 1 << 22)
"""How many states a walk is given room for: first few, then more."""
STATES_A_TICK = 1000
"""About so many states for every tick that the channel travels: where to begin with the rooms."""
SLOW_PERCENT_S = 10.0
"""A channel whose rate is not known is taken both at once and this slow; common practice, no source."""
SHORT_WINDOW_S = 10.0
"""An autorotation from a height for practice lasts about this long; common practice, no source."""
SLOW_HOLD_S = 3.0
TOO_SLOW = "throttle hold takes so long to stop the motor that this is not tried; make it quicker first"
TAKEN_AS_ARMED = "it is taken as armed, though these switch values never arm it"
DOUBTED = ("the doubt on the thresholds leaves it open; measure both again", ("channel.cut_off", "channel.start"))
NOT_PLAYED = (
    "in ticks of time it breaks, played in finer steps it does not: it turns on less than a tick; try it on the bench, "
    "blades off",
    ("a try on the bench, blades off",),
)
"""Why a rule is unknown though some walk breaks it, and what would tell."""
NO_BAIL_OUT = "no quick restart is permitted: an autorotation cannot be bailed out of, it ends on the ground"


@dataclass(frozen=True, kw_only=True)
class Walked:
    """One walk to its end. `is_doubted`: the positions were off by the doubt on the thresholds too."""

    walkable: Walkable
    walk: Walk
    is_whole: bool
    is_doubted: bool
    is_armed: bool = False
    """The controller was taken as armed by some other way, because its switches never arm it."""

    @property
    def ever_governed(self) -> bool:
        """Whether the motor ran in any state."""
        found = self.walk.table.first[: int(self.walk.table.size[0])]
        return bool(np.any(found & 7 == int(Run.GOVERNED)))


def logic(machine: Machine) -> LogicAnswer:
    """Check every switch sequence of one machine against the safety rules.

    Raises: InputError when the channel of the file is not one.
    """
    return checked(run_logic(machine), machine.name, machine.revision)


def checked(described: RunLogic, name: str, revision: int) -> LogicAnswer:
    """Check every switch sequence of one run logic against the safety rules."""
    began = time.perf_counter()
    walks = tuple(_walks(described))
    rules = [rule for rule in Rule if rule is not Rule.BAIL_OUT_IS_QUICK or described.permits]
    answers = tuple(_answer(rule, described, walks) for rule in rules)
    return LogicAnswer(
        machine=name,
        machine_revision=revision,
        settings=_settings(described),
        rules=answers,
        states=sum(int(walked.walk.table.size[0]) for walked in walks),
        tick_s=walks[0].walkable.course.tick_s if walks else 0.0,
        seconds=round(time.perf_counter() - began, 3),
        verdict=worst(answer.check.verdict for answer in answers),
        reasons=tuple(answer.check.reason for answer in answers if answer.check.verdict is not Outcome.PASS),
        unknowns=tuple(dict.fromkeys(need for answer in answers for need in answer.check.needs)),
        warnings=tuple(_warnings(described, walks)),
        cautions=BENCH + ADVICE_ONLY,
    )


def _walks(described: RunLogic) -> Iterator[Walked]:
    """Walk with the positions off by jitter and one step, then by the doubt too; an unknown rate both fast and slow.

    Where the switches never let the motor run, a second walk takes it as armed: what a switch set wrong would do then.
    """
    if described.stop_percent is None or described.start_percent is None or _is_slow(described):
        return
    paced = [described]
    if described.ramp_rate_percent_s is None:
        paced = [replace(described, ramp_rate_percent_s=rate) for rate in (1e6, SLOW_PERCENT_S)]
    doubt_percent = max(described.stop_spread_percent, described.start_spread_percent)
    for each in paced:
        plain = _walked(each, each.guard_percent, is_doubted=False)
        yield plain
        if plain.is_whole and not plain.ever_governed:
            armed = replace(each, arms_at_low_end=False)
            yield replace(_walked(armed, each.guard_percent, is_doubted=False), is_armed=True)
        if doubt_percent > 0.0:
            yield _walked(each, each.guard_percent + doubt_percent, is_doubted=True)


def _is_slow(described: RunLogic) -> bool:
    """Whether throttle hold takes too long to try every switch sequence around it."""
    takes_s = hold_takes_s(described)
    return takes_s is not None and takes_s > SLOW_HOLD_S


def _walked(described: RunLogic, guard_percent: float, *, is_doubted: bool) -> Walked:
    ready = walkable(described, guard_percent)
    travel_ticks = int(100.0 * STEPS_PER_PERCENT) // ready.course.ramp_steps
    for room in ROOMS:
        if room < min(STATES_A_TICK * travel_ticks, ROOMS[-1]):
            continue
        walk = empty_walk(room)
        if explore(ready.course, walk):
            return Walked(walkable=ready, walk=walk, is_whole=True, is_doubted=is_doubted)
    return Walked(walkable=ready, walk=walk, is_whole=False, is_doubted=is_doubted)


def _answer(rule: Rule, described: RunLogic, walks: tuple[Walked, ...]) -> RuleAnswer:
    rests = basis(rule, described)
    undecided, unsure = unknown(rests.decides, described), unknown(rests.worsens, described)
    if rule in (Rule.POWER_UP_IS_STILL, Rule.ONE_HOLD_IS_ENOUGH):
        walks = tuple(walked for walked in walks if not walked.is_armed)
    check, told = _judged(rule, described, walks, undecided, unsure)
    return RuleAnswer(
        rule=NAMES[rule],
        says=SAYS[rule],
        check=check,
        story=told.steps if told else (),
        switch_moves=told.moves if told else None,
    )


def _judged(
    rule: Rule, described: RunLogic, walks: tuple[Walked, ...], undecided: tuple[str, ...], unsure: tuple[str, ...]
) -> tuple[Verdict, Story | None]:
    """Judge one rule: broken for sure, not known, broken within the doubt, or held in every state."""
    if _is_slow(described):
        timed = _hold_in_time(described) if rule is Rule.HOLD_STOPS and not undecided else None
        if timed is not None and timed.verdict is Outcome.FAIL:
            return timed, None
        return Verdict.unknown(NAMES[rule], f"{SAYS[rule]}: {TOO_SLOW}", needs=("a quicker throttle hold",)), None
    if not walks:
        return _not_known(rule, (*undecided, *unsure)), None
    if not any(walked.walkable.course.starts.any() for walked in walks):
        why = "no flight mode is known to start the motor, so nothing ever runs"
        return Verdict.unknown(NAMES[rule], f"{SAYS[rule]}: {why}", needs=("flight_mode.1.channel",)), None
    surely = [walked for walked in walks if not walked.is_doubted]
    if any(walked.is_armed for walked in surely):
        surely = [walked for walked in surely if walked.is_armed]
    stories = [_story_of(rule, walked) for walked in surely]
    found = next((told for told in stories if told), None)
    timed = _hold_in_time(described) if rule is Rule.HOLD_STOPS else None
    if timed is not None and timed.verdict is Outcome.FAIL and not found and not undecided:
        return timed, late_hold(surely[0].walkable, described.hold_stop_s)
    if found and not undecided and all(stories):
        return _broken(rule, found), found
    if undecided or unsure:
        return _not_known(rule, (*undecided, *unsure)), found
    if timed is not None and timed.verdict is not Outcome.PASS:
        return timed, found
    if any(stories):
        return _not_known(rule, ("channel.ramp_rate",)), found
    return _unbroken(rule, walks, timed)


def _unbroken(rule: Rule, walks: tuple[Walked, ...], timed: Verdict | None) -> tuple[Verdict, Story | None]:
    """Judge a rule that no story breaks for sure."""
    for walked in walks:
        if not walked.is_whole:
            why = "there are more states than this check has room for"
            return Verdict.unknown(NAMES[rule], f"{SAYS[rule]}: {why}", needs=("a faster channel",)), None
        if is_broken(walked.walk, rule):
            told = story(walked.walkable, walked.walk, rule)
            why, needs = DOUBTED if walked.is_doubted else NOT_PLAYED
            return Verdict.unknown(NAMES[rule], f"{SAYS[rule]}: {why}", needs=needs), told
    states = sum(int(walked.walk.table.size[0]) for walked in walks)
    held = Verdict(check=NAMES[rule], verdict=Outcome.PASS, reason=f"{SAYS[rule]}: held in all {states} states")
    if timed is not None:
        held = replace(timed, reason=f"{held.reason}; {timed.reason}")
    below = _below_start(walks[0].walkable.logic)
    if rule is Rule.ONE_HOLD_IS_ENOUGH and below:
        says = f"{held.reason}; not asked of {', '.join(below)}, whose value may not start the motor at all"
        held = replace(held, reason=says)
    return held, None


def _story_of(rule: Rule, walked: Walked) -> Story | None:
    told = story(walked.walkable, walked.walk, rule) if is_broken(walked.walk, rule) else None
    if told is None or not walked.is_armed:
        return told
    armed = StoryStep(time_s=0.0, who="controller", says=TAKEN_AS_ARMED)
    return told._replace(steps=(told.steps[0], armed, *told.steps[1:]))


def _hold_in_time(described: RunLogic) -> Verdict | None:
    """Judge the time that throttle hold takes from the highest position, s; None where it cannot be worked out."""
    takes_s = hold_takes_s(described)
    if takes_s is None:
        return None
    return Verdict.at_most(
        NAMES[Rule.HOLD_STOPS],
        takes_s,
        Limit(value=described.hold_stop_s, unit="s", origin=described.hold_stop_origin),
        what="time from throttle hold in the highest mode until the motor is off",
    )


def _broken(rule: Rule, told: Story) -> Verdict:
    at_s, fine = told.steps[-1].time_s, "; it turns on less than one tick of time" if told.is_hair_fine else ""
    return Verdict(
        check=NAMES[rule],
        verdict=Outcome.FAIL,
        reason=f"{SAYS[rule]}: broken after {told.moves} switch moves, {at_s:.1f} s after power-up: "
        f"{told.steps[-1].says}{fine}",
        figure=float(told.moves),
        unit="switch moves",
    )


def _not_known(rule: Rule, keys: tuple[str, ...]) -> Verdict:
    how = "; ".join(f"{key}: {how_to_measure(key)}" for key in keys)
    return Verdict.unknown(NAMES[rule], f"{SAYS[rule]}: not known until these are, blades off: {how}", needs=keys)


def _settings(described: RunLogic) -> tuple[Setting, ...]:
    """Return every setting of the run logic as the machine file says it."""
    positions = [
        Setting(
            key=position.name,
            value="unknown" if position.percent is None else f"{position.percent:g} %",
            known=position.percent is not None,
        )
        for position in described.positions
    ]
    values = ((key, getattr(described, name)) for key, name in NAMED_LIKE.items())
    return (
        *positions,
        *(Setting(key=key, value=_shown(key, value), known=value is not None) for key, value in values),
    )


def _shown(key: str, value: object) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        unit = "%/s" if key.endswith("_rate") else "%" if key in _PERCENT_KEYS else "s"
        return f"{value:g} {unit}"
    return str(value)


_PERCENT_KEYS = ("channel.cut_off", "channel.start", "run_logic.cleared_below")


def _warnings(described: RunLogic, walks: tuple[Walked, ...]) -> Iterator[str]:
    if not described.permits:
        yield NO_BAIL_OUT
    if any(walked.is_armed for walked in walks):
        yield "with these switch values the controller never arms, so the rest was tried as if it were armed"
    if described.permission is Permission.TIME and described.cleared_below_percent == 0.0:
        yield "nothing but time clears the quick restart: throttle hold does not"
    if described.permits and described.permission_s is not None and described.permission_s < SHORT_WINDOW_S:
        yield f"the quick restart lapses after {described.permission_s:g} s: too soon for most bail-outs"
    below = _below_start(described)
    if below:
        yield f"{', '.join(below)}: this value may not start the motor; see the channel command"


def _below_start(described: RunLogic) -> list[str]:
    """Return the flight modes whose value does not surely start the motor."""
    return [p.name for p in described.at(Place.MODE) if _is_below_start(p.percent, described)]


def _is_below_start(percent: float | None, described: RunLogic) -> bool:
    if percent is None or described.start_percent is None:
        return False
    return percent - described.guard_percent <= described.start_percent
