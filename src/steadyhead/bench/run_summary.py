"""What a bench run shows: where it stands, what was found, what is void, what comes next. Field names are JSON keys."""

from dataclasses import dataclass

from steadyhead.bench.fixed_steps import LeftOut, left_out
from steadyhead.bench.judged_answer import about_cut_off, above_start
from steadyhead.bench.run_state import State, Told, current_step, own_checks, steps, stopped
from steadyhead.bench.set_points import channel_of
from steadyhead.bench.step import SKIP, Interval, Step
from steadyhead.channel.measured import KEYS, Measured, measured_in
from steadyhead.channel.result import ChannelAnswer, Reading, VoidReading
from steadyhead.words.cautions import ADVICE_ONLY, BENCH, PACK
from steadyhead.words.verdict import Outcome, Verdict, worst


@dataclass(frozen=True, kw_only=True)
class StepTold:
    """One step of the run: done, open, or reopened by a change."""

    step: str
    part: str
    title: str
    state: str
    """done, open, reopened or current."""
    spins: bool
    expected: float | None
    expected_word: str
    expected_interval: Interval | None
    expected_from: str
    """Where the expected value comes from, or why there is none."""
    unit: str
    answer: str
    """As a person would say it; empty while it is open."""
    source: str
    happened_on: str
    verdict: Outcome
    checks: tuple[Verdict, ...]
    void_by: str
    """The change that reopened it."""


@dataclass(frozen=True, kw_only=True)
class RunSummary:
    """A bench run as it stands."""

    run: str
    machine: str
    machine_revision: int
    machine_file: str
    started_on: str
    events: int
    """How many things happened; a window that shows fewer is behind."""
    paused: bool
    stopped: str
    """Why nothing may turn now; empty when something may."""
    to_mend: tuple[str, ...]
    """Steps that failed and that every run of the motor rests on: no live step comes before they are repeated."""
    done: bool
    steps_done: int
    current: Step | None
    steps: tuple[StepTold, ...]
    left_out: tuple[LeftOut, ...]
    """Steps that the machine file gives no ground for."""
    confirmed: tuple[str, ...]
    """Safety steps that stand confirmed now."""
    void: tuple[str, ...]
    """Steps that a change reopened."""
    readings: tuple[Reading, ...]
    void_readings: tuple[VoidReading, ...]
    """Head speeds that were read before a change that reopened them."""
    thresholds: tuple[Measured, ...]
    """Where the motor starts and stops, as this run has measured it."""
    channel: ChannelAnswer | None
    """Law and curve values from the readings of this run alone; null before the first reading."""
    checks: tuple[Verdict, ...]
    """Every check that stands, those of the set-point law among them."""
    verdict: Outcome
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


LAW_CHECKS = ("read_at_head", "set_point_law", "curve", "todays_curve", "head_speed_limit")


@dataclass(frozen=True, kw_only=True)
class Named:
    """What the record knows of a run besides its events."""

    run: str
    machine_file: str
    started_on: str


def summary(named: Named, state: State, warnings: tuple[str, ...] = ()) -> RunSummary:
    """Return what a run shows.

    Its verdict is that of every step and of the set-point law; a step that is open, or left out because the machine
    file does not say enough, is unknown, never pass.
    """
    every = steps(state)
    now = current_step(state, every)
    told = tuple(_told(step, state, now) for step in every)
    readings = state.readings
    found = tuple(measured_in(state.bench.setting, [key for key in KEYS if state.measured(key)]))
    channel = channel_of(state.bench, readings, found) if readings else None
    checks = (*_step_checks(state, told), *_position_checks(state), *_law_checks(channel, state))
    open_ = [one.title for one in told if one.part != "safety" and one.state != "done"]
    missing = left_out(state.bench)
    outcome = worst((*(check.verdict for check in checks), *([Outcome.UNKNOWN] if open_ or missing else [])))
    return RunSummary(
        run=named.run,
        machine=state.bench.machine.name,
        machine_revision=state.bench.machine.revision,
        machine_file=named.machine_file,
        started_on=named.started_on,
        events=state.number,
        paused=state.paused,
        stopped=stopped(state, every),
        to_mend=tuple(one.step for one in state.to_mend),
        done=not open_,
        steps_done=sum(one.state == "done" for one in told),
        current=now,
        steps=told,
        left_out=missing,
        confirmed=tuple(state.confirmed),
        void=tuple(one.step for one in told if one.state == "reopened" or (one.state == "current" and one.void_by)),
        readings=readings,
        void_readings=state.void_readings,
        thresholds=found,
        channel=channel,
        checks=checks,
        verdict=outcome,
        reasons=(
            *(check.reason for check in checks if check.verdict is not Outcome.PASS),
            *((f"still open: {', '.join(open_)}",) if open_ else ()),
            *(f"not asked, {one.step}: {one.why}" for one in missing),
        ),
        warnings=warnings,
        cautions=BENCH + PACK + ADVICE_ONLY,
    )


def _told(step: Step, state: State, now: Step | None) -> StepTold:
    one = state.told.get(step.step)
    return StepTold(
        step=step.step,
        part=step.part,
        title=step.title,
        state=_where(step, state, now),
        spins=step.spins,
        expected=step.expected,
        expected_word=step.expected_word,
        expected_interval=step.expected_interval,
        expected_from=step.expected_from,
        unit=step.unit,
        answer=said(step, one) if one else ("yes" if step.step in state.confirmed else ""),
        source=one.answer.source if one else "",
        happened_on=one.happened_on if one else state.confirmed.get(step.step, ""),
        verdict=one.verdict if one and not one.void_by else Outcome.UNKNOWN,
        checks=one.checks if one else (),
        void_by=one.void_by if one else "",
    )


def _where(step: Step, state: State, now: Step | None) -> str:
    if now is not None and now.step == step.step:
        return "current"
    if step.is_safety:
        return "done" if step.step in state.confirmed else "open"
    if state.stands(step.step):
        return "done"
    return "reopened" if step.step in state.told else "open"


def said(step: Step, one: Told) -> str:
    """Say an answer as a person would: `1710 rpm ± 5`."""
    answer = one.answer
    if answer.word == SKIP:
        return "left out"
    spread = f" ± {answer.spread:g}" if answer.spread else ""
    figure = "" if answer.figure is None else f"{answer.figure:g} {step.unit or 's'}{spread}"
    return " ".join(part for part in (answer.word, figure) if part)


def _step_checks(state: State, told: tuple[StepTold, ...]) -> tuple[Verdict, ...]:
    """Return the checks of every step that stands; those of a set point only where it failed: the law speaks else."""
    return tuple(
        check
        for one in told
        if state.stands(one.step)
        for check in own_checks(state.told[one.step])
        if one.part != "set points" or check.verdict is Outcome.FAIL
    )


def _position_checks(state: State) -> tuple[Verdict, ...]:
    """Judge every position, as it is set today, against the thresholds that this run has measured."""
    setting = state.bench.setting
    found = above_start(setting) if state.stands("threshold: start") else ()
    return (*found, *(about_cut_off(setting) if state.stands("threshold: cut_off") else ()))


def _heard_alone(state: State) -> tuple[Verdict, ...]:
    """Judge that a head speed read by other means has tested those that were heard before any law could test them."""
    read = [one for one in state.told.values() if one.percent is not None and one.answer.figure and not one.void_by]
    untested = [one.step for one in read if one.answer.is_heard and one.expected_interval is None]
    tests = [one for one in read if one.answer.is_at_head and one.expected_interval and one.verdict is Outcome.PASS]
    if not untested:
        return ()
    if tests:
        says = f"{tests[0].step} was read {tests[0].answer.source}, and agrees with what was heard"
        return (Verdict(check="read_by_other_means", verdict=Outcome.PASS, reason=says),)
    why = (
        f"{', '.join(untested)}: heard, and another machine near may have been taken for this one; repeat a set point "
    )
    why += "and read it at the head by other means"
    needs = ("a head speed read at the head by other means than sound or motor speed",)
    return (Verdict.unknown("read_by_other_means", why, needs=needs),)


def _law_checks(channel: ChannelAnswer | None, state: State) -> tuple[Verdict, ...]:
    """Return what the readings of this run say of law and curve values; without one the law is unknown."""
    if channel is not None:
        found = tuple(check for check in channel.checks if check.check.partition(": ")[0] in LAW_CHECKS)
        return (*found, *_heard_alone(state))
    if not state.bench.setting.modes:
        return ()
    return (Verdict.unknown("set_point_law", "no head speed was read in this run", needs=("readings",)),)
