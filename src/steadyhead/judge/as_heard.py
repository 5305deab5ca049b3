"""Takes verdicts on a recording back that rest on what a microphone cannot tell."""

from dataclasses import replace

import numpy as np

from steadyhead.judge.checks_governing import UNSURE_WHILE_SWINGING
from steadyhead.judge.hunting import HIGHEST_HZ
from steadyhead.judge.one_way import unless_it_may_hunt
from steadyhead.judge.parts import true_runs
from steadyhead.judge.quick_swings import may_swing_percent, quickest_shown_hz
from steadyhead.judge.result import Judgement
from steadyhead.judge.speed_heard import REST_ON_SPEED, SpeedDoubt, speed_verdict
from steadyhead.trace.heard import CLOCK_SHARE
from steadyhead.trace.trace import Series
from steadyhead.words.verdict import Outcome, Verdict, no_pass_of, worst

TIME_DOUBT_S = 0.1
"""A window of sound smears a moment over this long."""
STAYS_S = 1.0
"""A governor brings a head back within the second that is asked of it; one that stays longer is set so; own choice."""
WAY_HEARD_S = 0.2
"""A head passes its limit within frames; where none is heard for longer there, the way to it is not known; own choice.
"""
FAR_OVER = 1.1
"""No governed head runs so far over its set speed for long; common practice, no source."""
NO_DRIVE = (
    "hardly any line of gears or motor was heard, and tones at the ratio of main and tail blades may be another "
    "source's, such as an engine's"
)
CLEARER = ("a clearer recording, or a log of the head speed",)


def as_heard(
    judged: Judgement, doubt: SpeedDoubt, *, held_rpm: float | None, foreign: bool = False, drive_heard: bool = True
) -> Judgement:
    """Return the judgement with the doubt of the ear on every figure of speed and time.

    `held_rpm` is the highest head speed that was held, None where none was; `foreign` says that the strongest tones are
    none of the machine's, `drive_heard` that gears or windings were heard: without them nothing is judged.
    """
    checks = unless_too_quick(judged)
    checks = tuple(_unless_set_so(widened(check, doubt.frame_share), judged) for check in checks)
    checks = tuple(_unless_it_slipped(check, judged) for check in checks)
    checks = tuple(_as_held(check, judged, held_rpm, foreign=foreign, drive_heard=drive_heard) for check in checks)
    checks = tuple(speed_verdict(check, judged, doubt) for check in checks)
    advice = _advice(judged.advice, checks)
    return replace(judged, checks=checks, advice=advice, verdict=worst(check.verdict for check in checks))


def _advice(lines: tuple[str, ...], checks: tuple[Verdict, ...]) -> tuple[str, ...]:
    """Return what to change: nothing where no check fails any more, no more gain where hunting is not known."""
    if not any(check.verdict is Outcome.FAIL for check in checks):
        return ()
    hunting = next((check for check in checks if check.check == "no_hunting"), None)
    return tuple(unless_it_may_hunt(line, hunting) for line in lines)


def unless_too_quick(judged: Judgement) -> tuple[Verdict, ...]:
    """Return the checks with what the windows of sound smooth away of a swing; no pass where quick ones do not show."""
    speed = judged.trace.get("head_speed_rpm")
    hunting = next((check for check in judged.checks if check.check == "no_hunting"), None)
    if speed is None or hunting is None or hunting.limit is None or hunting.figure_interval is None:
        return judged.checks
    low, high = hunting.figure_interval
    wide = hunting.doubted((low, max(high, may_swing_percent(judged.steady))))
    checks = tuple(wide if check is hunting else check for check in judged.checks)
    shown_hz = quickest_shown_hz(judged.trace.time_s, np.asarray(speed), judged.steady, hunting.limit)
    if shown_hz >= HIGHEST_HZ or hunting.verdict is not Outcome.PASS:
        return checks
    why = f"swings quicker than {shown_hz:.0f} Hz do not show in this recording"
    return no_pass_of(("no_hunting", *UNSURE_WHILE_SWINGING), checks, why, needs=CLEARER)


def widened(check: Verdict, doubt_share: float) -> Verdict:
    """Return one check with its interval widened; a pass whose interval then reaches over the limit is unknown."""
    if check.figure is None or check.limit is None:
        return check
    wide = {"%": 100.0 * doubt_share, "s": TIME_DOUBT_S}.get(check.unit, check.figure * (doubt_share + CLOCK_SHARE))
    low, high = check.figure_interval or (check.figure, check.figure)
    interval = (low - wide, high + wide)
    if check.unit in ("%", "s"):
        interval = (max(0.0, interval[0]), interval[1])
    over = interval[0] < check.limit if check.limit_text.startswith(">=") else interval[1] > check.limit
    if check.verdict is Outcome.PASS and over:
        return replace(
            check,
            verdict=Outcome.UNKNOWN,
            figure_interval=interval,
            reason=f"{check.reason}, but heard from {interval[0]:.4g} to {interval[1]:.4g}: it may not hold",
            needs=(*check.needs, "a log of the head speed, or a clearer recording"),
        )
    return check.doubted(interval)


def _unless_set_so(check: Verdict, judged: Judgement) -> Verdict:
    """Return an overspeed as unknown where the head stays above its set speed: it may be another flight mode's."""
    speed = judged.trace.get("head_speed_rpm")
    if check.check != "overspeed" or check.verdict is not Outcome.FAIL or speed is None or check.limit is None:
        return check
    time_s = judged.trace.time_s
    for segment in judged.segments:
        if segment.kind != "governed" or segment.set_rpm is None:
            continue
        inside = (time_s >= segment.start_s) & (time_s <= segment.end_s)
        if _stays_above(time_s[inside], np.asarray(speed)[inside], segment.set_rpm * (1.0 + 0.01 * check.limit)):
            why = "the head stayed there: without the throttle channel that may be another flight mode's speed"
            return check.but(why, needs=("throttle_percent",))
    return check


def _unless_it_slipped(check: Verdict, judged: Judgement) -> Verdict:
    """Return an overspeed as unknown where the way up to it was nowhere heard: the ear may have slipped."""
    speed = judged.trace.get("head_speed_rpm")
    if check.check != "overspeed" or check.verdict is not Outcome.FAIL or speed is None or check.limit is None:
        return check
    rpm = np.asarray(speed)
    heard = np.isfinite(rpm)
    time_s, rpm = judged.trace.time_s[heard], rpm[heard]
    for segment in judged.segments:
        if segment.kind != "governed" or segment.set_rpm is None:
            continue
        over = (rpm > segment.set_rpm * (1.0 + 0.01 * check.limit)) & (time_s >= segment.start_s)
        for begin, stop in true_runs(over & (time_s <= segment.end_s)):
            ends = [(begin - 1, begin)] if begin else []
            ends += [(stop - 1, stop)] if stop < rpm.size else []
            if ends and all(time_s[after] - time_s[before] <= WAY_HEARD_S for before, after in ends):
                return check
    why = "the way up to it and back was not heard: the ear may have slipped"
    return check.but(why, needs=(*check.needs, *CLEARER))


def _stays_above(time_s: Series, speed_rpm: Series, limit_rpm: float) -> bool:
    """Whether the speed lies above a limit for a second or more, or has not come back where the segment ends."""
    for begin, stop in true_runs(~(speed_rpm <= limit_rpm)):
        if stop >= speed_rpm.size or begin == 0 or time_s[stop - 1] - time_s[begin] >= STAYS_S:
            return True
    return False


def _as_held(check: Verdict, judged: Judgement, held_rpm: float | None, *, foreign: bool, drive_heard: bool) -> Verdict:
    """Return a verdict as unknown where no speed was held, or where a limit was passed far above any that was."""
    if check.verdict is Outcome.UNKNOWN:
        return check
    if foreign:
        why = "the strongest tones are none of this machine's"
    elif not drive_heard:
        why = NO_DRIVE
    elif held_rpm is None:
        why = "no head speed was heard through most of a stretch"
    elif check.check in REST_ON_SPEED and check.verdict is Outcome.FAIL and _peak_rpm(judged) > FAR_OVER * held_rpm:
        why = f"the highest speed that was held is {held_rpm:.0f} rpm: the ear may have slipped"
    else:
        return check
    return check.but(why, needs=(*check.needs, *CLEARER))


def _peak_rpm(judged: Judgement) -> float:
    speed = judged.trace.get("head_speed_rpm")
    return 0.0 if speed is None else float(np.nanmax(speed))
