"""What a bench run is now: a pure function of its machine and its events."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from typing import Any

from steadyhead.bench.fixed_steps import Bench, bench_of, steps_after, steps_before
from steadyhead.bench.judged_answer import judged, measured_threshold
from steadyhead.bench.moment import seconds_between
from steadyhead.bench.safety_steps import LASTS_S, SAFETY
from steadyhead.bench.set_points import held_against, moved, next_set_point, set_point
from steadyhead.bench.step import SKIP, Answer, Interval, Step
from steadyhead.bench.void import changes_of, is_void, law_changes
from steadyhead.channel.measured import KEYS
from steadyhead.channel.reading_set import may_be_one
from steadyhead.channel.result import Reading, VoidReading
from steadyhead.machine.description import Machine
from steadyhead.words.cautions import LIVE_MOTOR
from steadyhead.words.errors import InputError
from steadyhead.words.plain import plain
from steadyhead.words.verdict import Outcome, Verdict, worst

RESTS_ON = ("end_point: ", "autorotation: rest")
"""Steps that safety rests on in every run of the motor after them: a channel that does not reach its ends may not stop
the motor, and a position that starts it from rest is dangerous to switch to. Common practice, no source."""


BY_THE_FILE = ("end points", "thresholds", "starting")
"""Parts whose figures are held against the machine file alone: an edit of it may contradict what was found."""


class Kind(StrEnum):
    """What can happen in a run."""

    CONFIRMED = "confirmed"
    ANSWERED = "answered"
    REPEATED = "repeated"
    PAUSED = "paused"
    RESUMED = "resumed"
    CHANGED = "changed"
    MACHINE_CHANGED = "machine_changed"


TO_BE_REPEATED = "to be repeated"


@dataclass(frozen=True, kw_only=True)
class Event:
    """One thing that happened, as the record keeps it."""

    number: int
    kind: Kind
    step: str
    happened_on: str
    answer: Answer | None = None
    percent: float | None = None
    expected_interval: Interval | None = None
    """What a set point was held against; none in a record that was written before this was kept."""
    checks: tuple[Verdict, ...] = ()
    changes: tuple[str, ...] = ()
    """For a change: what changed."""
    revision: str = ""
    """For another machine file: its key in the record."""


@dataclass(frozen=True, kw_only=True)
class Told:
    """A step that was answered, and whether that still stands."""

    step: str
    answer: Answer
    checks: tuple[Verdict, ...]
    happened_on: str
    percent: float | None = None
    expected_interval: Interval | None = None
    void_by: str = ""
    """The change, or the wish to repeat, that reopened it; empty while it stands."""
    void_keys: tuple[str, ...] = ()
    """The keys of the machine file that stand behind it, where it was an edit."""
    through_gears: Answer | None = None
    """What motor and gears had said here before the head itself was read, where the two agree."""

    @property
    def verdict(self) -> Outcome:
        """Of all its checks together."""
        return worst(check.verdict for check in self.checks)

    @property
    def is_failed_hold(self) -> bool:
        """Whether it is a throttle hold that did not stop the motor, and that nothing reopened since."""
        return self.step.startswith("hold_from: ") and not self.void_by and self.verdict is Outcome.FAIL


@dataclass(frozen=True, kw_only=True)
class State:
    """A run as it is now."""

    bench: Bench
    """With the thresholds that this run has measured."""
    described: Bench
    """As the machine file says."""
    told: dict[str, Told] = field(default_factory=dict)
    """By step, in the order of the first answer."""
    confirmed: dict[str, str] = field(default_factory=dict)
    """Safety steps that stand confirmed, and since when."""
    paused: bool = False
    last: str = ""
    number: int = 0

    def stands(self, step: str) -> bool:
        """Whether a step is answered and nothing reopened it."""
        return step in self.told and not self.told[step].void_by

    def measured(self, key: str) -> Answer | None:
        """Return the figure that stands of a threshold, `start` or `cut_off`; None where none was read."""
        one = self.told.get(f"threshold: {key}")
        return one.answer if one and not one.void_by and one.answer.figure is not None else None

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The readings of the set points that stand."""
        return tuple(
            answer.reading(one.percent, f"bench run, {one.happened_on[:10]}")
            for one in self.told.values()
            for answer in (one.answer, one.through_gears)
            if one.percent is not None and answer is not None and answer.figure is not None and not one.void_by
        )

    @property
    def void_readings(self) -> tuple[VoidReading, ...]:
        """The readings of the set points that a change reopened."""
        return tuple(
            VoidReading(
                reading=one.answer.reading(one.percent, f"bench run, {one.happened_on[:10]}"),
                since=one.void_keys or (one.void_by,),
            )
            for one in self.told.values()
            if one.percent is not None and one.answer.figure is not None
            if one.void_by not in ("", TO_BE_REPEATED)
        )

    @property
    def to_mend(self) -> tuple[Told, ...]:
        """Steps that failed, that every run of the motor after them rests on, and that nothing reopened since."""
        failed = [one for one in self.told.values() if not one.void_by and one.verdict is Outcome.FAIL]
        return tuple(one for one in failed if one.step.startswith(RESTS_ON))

    @property
    def failed_hold(self) -> Told | None:
        """A throttle hold that did not stop the motor, and was not repeated since."""
        return next((one for one in self.told.values() if one.is_failed_hold), None)


def state_of(machine: Machine, events: Iterable[Event], machines: dict[str, Machine], now: str) -> State:
    """Return what a run is at the moment `now`.

    `machines`: the machine of every revision that an event names.
    """
    bench = bench_of(machine)
    state = State(bench=bench, described=bench)
    for event in events:
        state = _after(_aged(state, event.happened_on), event, machines)
    return judged_anew(_with_thresholds(_aged(state, now)))


def _aged(state: State, now: str) -> State:
    """Let the confirmations lapse when nothing happened for long."""
    if state.confirmed and seconds_between(state.last, now) > LASTS_S:
        return replace(state, confirmed={})
    return state


def _after(state: State, event: Event, machines: dict[str, Machine]) -> State:
    state = replace(state, last=event.happened_on, number=event.number)
    match event.kind:
        case Kind.CONFIRMED:
            return replace(state, confirmed=state.confirmed | {event.step: event.happened_on})
        case Kind.ANSWERED:
            told = Told(
                step=event.step,
                answer=event.answer or Answer(word=SKIP),
                checks=event.checks,
                happened_on=event.happened_on,
                percent=event.percent,
                expected_interval=event.expected_interval,
                through_gears=_borne_out(state.told.get(event.step), event),
            )
            confirmed = {} if told.is_failed_hold else state.confirmed
            return replace(state, told=state.told | {event.step: told}, confirmed=confirmed)
        case Kind.REPEATED:
            again = replace(state.told[event.step], void_by=TO_BE_REPEATED) if event.step in state.told else None
            return replace(state, told=state.told | {event.step: again}) if again else state
        case Kind.PAUSED:
            return replace(state, paused=True, confirmed={})
        case Kind.RESUMED:
            return replace(state, paused=False, confirmed={})
        case Kind.CHANGED:
            return without(state, event.changes)
        case Kind.MACHINE_CHANGED:
            there = machines.get(event.revision)
            bench = bench_of(there) if there else state.bench
            law = law_changes(state.described.machine, there) if there else None
            return replace(without(state, event.changes, law), bench=bench, described=bench)


def _borne_out(before: Told | None, event: Event) -> Answer | None:
    """Return what motor and gears said of a position that is read at the head now, where the two agree.

    One that the head contradicts is left out: it was repeated because it was wrong.
    """
    if before is None or before.void_by != TO_BE_REPEATED or event.percent is None or event.answer is None:
        return None
    old = before.answer if not before.answer.is_at_head else before.through_gears
    if old is None or old.figure is None or event.answer.figure is None or not event.answer.is_at_head:
        return None
    alike = may_be_one(old.reading(event.percent, ""), event.answer.reading(event.percent, ""))
    return old if alike else None


def without(state: State, changes: Sequence[str], law: Sequence[str] | None = None) -> State:
    """Return the run after changes: what they make void is reopened, and safety is confirmed anew.

    `law`: the keys that changed of those that the set-point law rests on, where that is known; they alone reopen a set
    point then.
    """
    told = dict(state.told)
    for name, one in told.items():
        if law is not None and one.percent is not None:
            by = next((change for key in law for change in changes_of(key)), "")
            told[name] = one if one.void_by else replace(one, void_by=by, void_keys=tuple(law))
            continue
        for change in changes:
            if not one.void_by and any(is_void(check.check, change) for check in own_checks(one)):
                told[name] = replace(one, void_by=change)
    return replace(state, told=told, confirmed={})


def own_checks(one: Told) -> tuple[Verdict, ...]:
    """Return the checks of a step itself; what a threshold says of the positions is judged anew with each of them."""
    return one.checks[:1] if one.step.startswith("threshold: ") else one.checks


def _with_thresholds(state: State) -> State:
    """Take the thresholds that this run has measured in place of those in the machine file."""
    setting = state.bench.setting
    for key in KEYS:
        answer = state.measured(key)
        if answer is not None:
            found = measured_threshold(setting, answer)
            setting = replace(setting, **{f"{key}_percent": found})  # type: ignore[arg-type]
    return replace(state, bench=replace(state.bench, setting=setting))


def judged_anew(state: State) -> State:
    """Judge the figures that stand by the machine file as it is now, whatever it said when they were found."""
    by_name = {step.step: step for step in steps_before(state.described) if step.part in BY_THE_FILE}
    told = {
        name: replace(one, checks=judged(state.bench, by_name[name], one.answer))
        if name in by_name and one.answer.figure is not None and not one.void_by
        else one
        for name, one in state.told.items()
    }
    return replace(state, told=told)


def on_machine(state: State, machine: Machine, changes: Sequence[str], law: Sequence[str] | None = None) -> State:
    """Return the run on another text of its machine file: reopened by the changes, and judged by that text.

    `law`: as `without` takes it.
    """
    bench = bench_of(machine)
    return judged_anew(_with_thresholds(replace(without(state, changes, law), bench=bench, described=bench)))


def steps(state: State) -> tuple[Step, ...]:
    """Return every step of the run as far as it can be told, in order: safety, fixed steps, set points, the rest."""
    before = steps_before(state.described)
    asked = (*before, *_set_points(state, before), *steps_after(state.described))
    return (*SAFETY, *(replace(one, action=(LIVE_MOTOR, *one.action)) if one.spins else one for one in asked))


def _set_points(state: State, before: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return the set points that were asked, and the next one where none of them is open."""
    asked = [one for one in state.told.values() if one.percent is not None]
    found = []
    for number, one in enumerate(asked):
        step = set_point(state.bench, (), number, one.percent or 0.0, "it is to be read again")
        again = moved(state.bench, state.readings, step) if one.void_by else held_against(step, one.expected_interval)
        found.append(again)
    stands = all(not one.void_by for one in asked)
    skipped = any(one.answer.word == SKIP and not one.void_by for one in asked)
    if stands and not skipped and all(state.stands(step.step) for step in before):
        following = next_set_point(state.bench, state.readings, len(asked))
        found += [following] if following else []
    return tuple(found)


def current_step(state: State, every: tuple[Step, ...] | None = None) -> Step | None:
    """Return the step to do now; None when the run is paused, stopped by a step that failed, or done.

    `every`: the steps of the run, where they are known already.
    """
    if state.paused or state.failed_hold:
        return None
    for step in SAFETY:
        if step.step not in state.confirmed:
            return step
    following = _following(state, steps(state) if every is None else every)
    return None if following is not None and following.spins and state.to_mend else following


def _following(state: State, every: tuple[Step, ...]) -> Step | None:
    """Return the first step that is open, whether or not it may be done now."""
    return next((step for step in every if not step.is_safety and not state.stands(step.step)), None)


def stopped(state: State, every: tuple[Step, ...] | None = None) -> str:
    """Return why nothing may turn now, as a sentence; empty when something may."""
    every = steps(state) if every is None else every
    titles = {step.step: step.title for step in every}
    failed = state.failed_hold
    if failed is not None:
        return (
            f'Throttle hold failed in the step "{titles.get(failed.step, "Throttle hold")}". Disconnect the pack. '
            f"Nothing more is tried until that is mended: then say what changed, and repeat that step ({failed.step})."
        )
    if state.paused:
        return "The run is paused: throttle hold on, disconnect the pack. Safety is confirmed anew before it goes on."
    if current_step(state, every) is None and _following(state, every) is not None:
        return _to_mend_first(state.to_mend, titles)
    return ""


def _to_mend_first(failed: tuple[Told, ...], titles: dict[str, str]) -> str:
    """Say which steps failed before one with a live motor, and what to do."""
    why = [next(check.reason for check in one.checks if check.verdict is Outcome.FAIL) for one in failed]
    told = "; ".join(f'"{titles.get(one.step, one.step)}" ({said})' for one, said in zip(failed, why, strict=True))
    steps_again = ", ".join(f"repeat {one.step}" for one in failed)
    return (
        f"Failed: {told}. The next step has a live motor and rests on that. Disconnect the pack and mend it first; "
        f"then: {steps_again}."
    )


def body_of(event: Event) -> str:
    """Return what the record keeps of an event besides its number, kind, step and moment."""
    kept = plain(event)
    return json.dumps(
        {key: kept[key] for key in ("answer", "percent", "expected_interval", "checks", "changes", "revision")}
    )


def event_from(number: int, kind: str, step: str | None, body: str, happened_on: str) -> Event:
    """Return an event as the record kept it.

    Raises: InputError when it is none: a record that was written by hand.
    """
    try:
        kept = json.loads(body)
        answer = kept["answer"]
        seconds_between(happened_on, happened_on)
        return Event(
            number=number,
            kind=Kind(kind),
            step=step or "",
            happened_on=happened_on,
            answer=Answer(**{f.name: answer[f.name] for f in fields(Answer)}) if answer else None,
            percent=kept["percent"],
            expected_interval=_interval(kept.get("expected_interval")),
            checks=tuple(_verdict(check) for check in kept["checks"]),
            changes=tuple(kept["changes"]),
            revision=kept["revision"],
        )
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise InputError(
            f"event {number} of the run", read=f"no event ({error})", right="one that the bench wrote"
        ) from error


def _verdict(kept: dict[str, Any]) -> Verdict:
    interval = _interval(kept["figure_interval"])
    kept = {f.name: kept[f.name] for f in fields(Verdict)}
    return Verdict(
        **kept
        | {
            "verdict": Outcome(kept["verdict"]),
            "needs": tuple(kept["needs"]),
            "figure_interval": interval,
        }
    )


def _interval(kept: Any) -> Interval | None:
    return (kept[0], kept[1]) if kept else None
