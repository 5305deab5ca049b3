"""The verdict on one answer, at once. Unknown is never pass: a step that is left out, or has no limit, is unknown."""

from collections.abc import Callable
from dataclasses import replace

from steadyhead.bench.fixed_steps import Bench, end_slack_us
from steadyhead.bench.restart_time import time_goes_with
from steadyhead.bench.step import HOLD_AT_REST, SKIP, Answer, Interval, Step
from steadyhead.channel.at_head import AT_HEAD
from steadyhead.channel.autorotation_window import window_verdict
from steadyhead.channel.end_points import measured_end
from steadyhead.channel.pulse import landed_us, step_percent
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.channel.thresholds import Position, hold_below_cut_off, mode_above_start, threshold_gap
from steadyhead.words.verdict import Limit, Outcome, Verdict

STOP_WATCH_S = 0.2
"""Half width of the 90 % interval of a time taken by hand. Common practice, no source."""
CURVE_STEP_PERCENT = 1.0
"""Most transmitters set a curve in whole percents: a threshold is found no closer there. Common practice, no source."""

WRITE_OR_REPEAT = "write what was found into the machine file, or repeat {step} if the controller was set anew"
"""The way out where a threshold that was found is not the one that the machine file says."""


def judged(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    """Judge an answer to a step; the first verdict is that on what the step asks.

    `bench`: with the thresholds that this run has measured so far.
    """
    if step.is_safety:
        return ()
    check = _check(step)
    if answer.word == SKIP:
        why = f"left out{f': {answer.note}' if answer.note else ''}"
        return (Verdict.unknown(check, f"{step.title}: {why}", needs=(f"the bench step {step.step}",)),)
    return BY_PART[step.part](bench, step, answer)


def _check(step: Step) -> str:
    """Return the name of a step's first check, with the state or position that it was made in."""
    kind = step.checks[0]
    of = step.step.partition(": ")[2]
    return f"{kind}: {of}" if kind in ("hold_from", "quick_restart_on_bench", "set_point") else kind


def _end(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    word, read_us = step.step.partition(": ")[2], answer.figure or 0.0
    meant_us = landed_us(bench.setting.pulse, 0.0 if word == "low" else 100.0)
    off_us = abs(read_us - meant_us)
    allowed_us = end_slack_us(bench.setting.pulse)
    as_described = Verdict.at_most(
        f"end_as_described: {word}",
        off_us,
        Limit(value=allowed_us, unit="us", origin="jitter, one step and the monitor's; common practice, no source"),
        what=f"the {word} end ({read_us:g} us read) off what pulse and travel in the machine file say",
    )
    return (*measured_end(bench.setting, word, read_us), as_described)


def _hold(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    state = step.step.partition(": ")[2]
    aside = "" if step.step == HOLD_AT_REST else "how fast it stops, only a log with duty tells"
    return (_yes_or_no(f"hold_from: {state}", step, answer, aside),)


def _autorotation(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    return (_yes_or_no("no_start_in_autorotation_position", step, answer, ""),)


def _yes_or_no(check: str, step: Step, answer: Answer, aside: str) -> Verdict:
    seen = answer.word == "yes"
    says = f"{step.title}: {step.asks} {answer.word}, {answer.source}"
    says += f" ({answer.note})" if answer.note else ""
    return Verdict(
        check=check,
        verdict=Outcome.PASS if seen else Outcome.FAIL,
        reason=f"{says}; {aside}" if seen and aside else says,
        limit_text="yes",
        limit_origin=step.expected_from,
    )


def _threshold(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    key = step.step.partition(": ")[2]
    found = measured_threshold(bench.setting, answer)
    usual = step_percent(bench.setting.pulse, found.figure)
    read, what = replace(answer, spread=found.spread), f"{step.title.lower()} (percent of the channel)"
    first = _within(step, f"{key}_measured", read, max(usual, CURVE_STEP_PERCENT), what)
    if first.verdict is Outcome.FAIL:
        first = replace(first, reason=f"{first.reason}; {WRITE_OR_REPEAT.format(step=step.step)}")
    setting = replace(bench.setting, **{f"{key}_percent": found})  # type: ignore[arg-type]
    return (first, *(above_start(setting) if key == "start" else about_cut_off(setting)))


def above_start(setting: ChannelSetting) -> tuple[Verdict, ...]:
    """Judge the value of every flight mode against the start threshold."""
    places = [Position(m.name, m.today_percent) for m in setting.modes if m.today_percent is not None]
    return tuple(mode_above_start(setting, place) for place in places)


def about_cut_off(setting: ChannelSetting) -> tuple[Verdict, ...]:
    """Judge throttle hold and the autorotation position against the thresholds."""
    return (hold_below_cut_off(setting), threshold_gap(setting), window_verdict(setting))


def measured_threshold(setting: ChannelSetting, answer: Answer) -> Doubted:
    """Return a threshold as it was read; without a stated spread it is known to one step of the channel."""
    figure = answer.figure or 0.0
    return Doubted(figure, answer.spread or step_percent(setting.pulse, figure))


def _starting(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    check = "soft_start_time" if step.step == "soft_start" else "start_delay_measured"
    return (_within(step, check, answer, STOP_WATCH_S, step.title.lower()),)


def _within(step: Step, check: str, answer: Answer, usual: float, what: str) -> Verdict:
    """Judge a figure against the expected value with its tolerance; without one it is unknown, but written down.

    `usual`: the half width of its 90 % interval where none was stated; a wider one that was stated always counts.
    """
    figure, spread = answer.figure, answer.spread or usual
    if step.expected_interval is None or figure is None:
        says = f"{what}: {figure:g} {step.unit} read, but nothing to hold it against ({step.expected_from})"
        return Verdict(
            check=check,
            verdict=Outcome.UNKNOWN,
            reason=says,
            figure=figure,
            unit=step.unit,
            needs=("a value to expect, in the machine file",),
        )
    low, high = (Limit(value=end, unit=step.unit, origin=step.expected_from) for end in step.expected_interval)
    reached: Interval = (max(figure - spread, 0.0), figure + spread)
    narrow = spread <= usual and step.expected_interval[1] - step.expected_interval[0] < reached[1] - reached[0]
    return Verdict.between(check, figure, low, high, what=what, interval=None if narrow else reached)


def _set_point(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    where = step.step.partition(": ")[2]
    check, rpm = f"set_point: {where}", answer.figure or 0.0
    limited = _within_head_limit(bench, where, answer)
    if step.expected_interval is None:
        says = f"{rpm:g} rpm read at {step.percent:.4g} %: the first readings make the law, a later one tests it"
        return (
            Verdict(
                check=check, verdict=Outcome.UNKNOWN, reason=says, figure=rpm, unit="rpm", needs=("more readings",)
            ),
            *limited,
        )
    low, high = (Limit(value=end, unit="rpm", origin=step.expected_from) for end in step.expected_interval)
    what = f"head speed read at {step.percent:.4g} %"
    return (Verdict.between(check, rpm, low, high, what=what), *limited)


def _within_head_limit(bench: Bench, where: str, answer: Answer) -> tuple[Verdict, ...]:
    """Judge a reading against the limit of head and blades, whatever the law says; nothing where none is known.

    Motor and gears alone pass nothing here: with another main gear they would read alike, at another head speed.
    """
    if bench.setting.head_speed_max_rpm is None:
        return ()
    limit = Limit(value=bench.setting.head_speed_max_rpm, unit="rpm", origin=bench.setting.head_speed_max_origin)
    judged = Verdict.at_most(f"set_point_limit: {where}", answer.figure, limit, what=f"head speed read ({where})")
    if judged.verdict is Outcome.PASS and not answer.is_at_head:
        why = "that is motor and gears alone, not read at the head"
        return (judged.but(why, needs=(AT_HEAD,)),)
    return (judged,)


def _restart(bench: Bench, step: Step, answer: Answer) -> tuple[Verdict, ...]:
    which = step.step.partition(": ")[2]
    clears = step.checks[0] == "hold_clears_quick_restart"
    check = "hold_clears_quick_restart" if clears else f"quick_restart_on_bench: {which}"
    took = f" in {answer.figure:g} s" if answer.figure is not None else ""
    says = f"{step.title}: {answer.word}{took}, {answer.source}"
    if not step.expected_word:
        return (Verdict.unknown(check, f"{says}; {step.expected_from}", needs=("run_logic.permission",)),)
    says = f"{says}; expected {step.expected_word} ({step.expected_from})"
    held = answer.word == step.expected_word
    timed = time_goes_with(bench, check, which, answer, STOP_WATCH_S) if held else None
    return (
        Verdict(
            check=check,
            verdict=timed.verdict if timed else Outcome.PASS if held else Outcome.FAIL,
            reason=f"{says}; {timed.reason}" if timed else says,
            figure=answer.figure,
            unit="s" if took else "",
            limit_text=step.expected_word,
            limit_origin=step.expected_from,
            needs=timed.needs if timed else (),
        ),
    )


BY_PART: dict[str, Callable[[Bench, Step, Answer], tuple[Verdict, ...]]] = {
    "end points": _end,
    "hold": _hold,
    "autorotation": _autorotation,
    "thresholds": _threshold,
    "starting": _starting,
    "set points": _set_point,
    "restart": _restart,
}
