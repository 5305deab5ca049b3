"""Judges how well the head speed is held: band, droop, overspeed, recovery, hunting."""

from collections.abc import Sequence
from dataclasses import replace
from math import inf, pi

from steadyhead.judge.bearing import bearing_may_run_free, free_after_loads_s
from steadyhead.judge.checks_droop import climb_droop
from steadyhead.judge.checks_left_out import as_left_out
from steadyhead.judge.checks_ringing import unless_it_rings
from steadyhead.judge.checks_sensor import (
    FREE_BEARING,
    band_as_sensed,
    not_settled,
    overspeed_as_sensed,
    recovery_through_bearing,
    too_coarse,
)
from steadyhead.judge.classes import class_words
from steadyhead.judge.cyclic import unless_cyclic
from steadyhead.judge.duty import WORKED_OUT
from steadyhead.judge.events import FULL_DUTY
from steadyhead.judge.held_speed import another_level, as_held
from steadyhead.judge.hunting import BY_CHANCE, LOWEST_HZ, Swing
from steadyhead.judge.hunting_elsewhere import Elsewhere
from steadyhead.judge.measured import QUICKER_THAN_A_HAND_HZ, Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.steady import Calm
from steadyhead.judge.undriven_loads import of_driven_loads
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

REGULAR = 0.5
HIDDEN_S = 0.5
"""In a hole so long a head may leave its band and come back unseen; own choice."""


def governing_checks(found: Measured, machine: Machine, numbers: Owner) -> tuple[Verdict, ...]:
    """Judge the five governing figures of a log."""
    unseen = bearing_may_run_free(found, machine)
    judged = (
        _steady_band(found, numbers),
        of_driven_loads(climb_droop, found, numbers),
        _overspeed(found, numbers),
        of_driven_loads(_recovery, found, numbers),
        _no_hunting(found, numbers),
    )
    checks = [as_left_out(check, found) for check in judged]
    return as_held(tuple(_as_far_as_shown(check, found, machine, unseen=unseen) for check in checks), found)


def unless_it_swings(checks: tuple[Verdict, ...], found: Measured) -> tuple[Verdict, ...]:
    """Take back passes where the head hunts, or may: it never settles, and a sensor shows its quick peaks too small.

    It may where a swing was found, or where duty or current swing and the rows are too few to show the head's.
    """
    hunting = next((check for check in checks if check.check == "no_hunting"), None)
    if hunting is None or hunting.verdict is Outcome.PASS or (hunting.figure is None and not found.elsewhere):
        return checks
    little = _shows_little_hover(found)
    return tuple(_while_it_swings(check, found.signals.interval_s, little) for check in checks)


SAME_LEVEL_SHARE = 0.015
"""Levels without a throttle channel that lie nearer together are one: the step of the channel itself; own choice."""
CHANGED = ("climb_droop", "overspeed", "recovery")
"""Checks that a change of set speed spoils where no throttle channel shows it."""
PEAKS_MISSED_S = 0.08
"""Rows in which the peaks of a duty that swings with a hunting head are missed; own choice."""
SWING_OF_CURRENT = 2.0
"""A current that swings with the head may peak at as many times what its sensor shows; own choice."""
LARGE = 3.0
"""A slow swing so many times the limit is none that may be passed over, repeat itself or not; own choice."""
LITTLE_SHARE = 0.1
"""A flight of loads has no more plain hover than this of its running; a swing beside it says that it is none; own
choice."""
ENOUGH_S = 4.0 / LOWEST_HZ
"""In a window so long four turns of the lowest swing that is looked for fit in."""
UNSURE_WHILE_SWINGING = ("steady_band", "overspeed", "recovery", "quick_restart_time", "esc_current")


def _shows_little_hover(found: Measured) -> bool:
    """Whether the plain windows are so small a part of what was flown that a swing may have kept the others out."""
    flown_s = sum(s.end_s - s.start_s for s in found.governed if s.airborne is not False)
    plain_s = sum(w.end_s - w.start_s for w in found.windows if w.hover)
    return plain_s < LITTLE_SHARE * flown_s


def _while_it_swings(check: Verdict, interval_s: float, shows_little_hover: bool) -> Verdict:
    if check.check == "hover_duty" and check.verdict is Outcome.PASS and shows_little_hover:
        why = "the head swings, or may, and little of the running was plain enough to show its hover"
        return check.but(why, needs=("a governor that does not hunt",))
    is_duty = check.check in ("duty_margin", "hover_duty") and WORKED_OUT in check.reason
    is_duty = is_duty or (check.check == "duty_margin" and interval_s >= PEAKS_MISSED_S)
    if check.verdict is not Outcome.PASS or not (is_duty or check.check in UNSURE_WHILE_SWINGING):
        return check
    if check.check == "esc_current" and (check.figure or 0.0) * SWING_OF_CURRENT <= (check.limit or 0.0):
        return check
    why = "the head swings, or may, and a sensor shows quick peaks too small"
    return check.but(why, needs=("a governor that does not hunt",))


def _as_far_as_shown(check: Verdict, found: Measured, machine: Machine, *, unseen: bool) -> Verdict:
    """Take back a verdict that rests on what the log does not show: the head itself, the set speed, the load."""
    signals = found.signals
    if check.check == "recovery" and check.verdict is Outcome.PASS and (coarse := too_coarse(found)):
        why = f"{coarse}, nor whether the head comes to rest"
        return check.but(why, needs=("a speed written in finer steps",))
    if unseen and check.check == "recovery" and check.verdict is Outcome.PASS:
        return recovery_through_bearing(check, free_after_loads_s(found, machine))
    if unseen and check.check == "overspeed" and check.verdict is Outcome.PASS:
        return Verdict.unknown(check.check, FREE_BEARING, needs=("head speed measured at the head",))
    levels = [s.set_rpm or 0.0 for s in found.governed]
    several = max(levels, default=0.0) > (1.0 + SAME_LEVEL_SHARE) * min(levels, default=0.0)
    moved = CHANGED if several else (*CHANGED, "steady_band") if check.verdict is Outcome.FAIL else ()
    if not found.channel_seen and check.check in moved and (several or another_level(found)):
        why = "without the throttle channel a change of set speed cannot be told from droop"
        return Verdict.unknown(check.check, why, needs=("throttle_percent",))
    if check.check == "no_hunting" and check.verdict is Outcome.FAIL and not found.swings_under_load:
        lines = [w.line for w in found.windows if w.line is not None]
        strongest = max(lines, key=lambda line: line.amplitude_percent)
        slow = strongest.frequency_hz < QUICKER_THAN_A_HAND_HZ
        nothing_told = signals.collective_deg is None and signals.current_a is None and found.flown is not False
        if slow and nothing_told and found.bare_heard:
            return replace(check, reason=f"{check.reason}; no blades were heard, so the pitch loaded nothing")
        if slow and nothing_told:
            why = check.reason + "; without collective and current the log does not show whether the stick did it"
            return Verdict.unknown(check.check, why, needs=("collective_deg or pack_current_a",))
    if check.check == "steady_band" and check.verdict is Outcome.FAIL:
        if signals.collective_deg is None and signals.current_a is None:
            why = "the head moved, but without collective and current the log does not show whether the load did"
            return Verdict.unknown(check.check, why, needs=("collective_deg or pack_current_a",))
        if not found.channel_seen and signals.duty is None:
            why = "the head moved, but the log does not show whether the motor drove it"
            return Verdict.unknown(check.check, why, needs=("throttle_percent or duty",))
    return check


def _steady_band(found: Measured, numbers: Owner) -> Verdict:
    hover = [w for w in found.windows if w.hover]
    if not hover:
        why = "no plain hover of 3 s or more in this log" if found.flown is not None else NOT_TOLD
        return Verdict.unknown("steady_band", why, needs=("a log with 10 s of plain hover",))
    limit = numbers.limit("limits.steady_band")
    too_wide = [w for w in hover if limit is not None and w.half_width > limit.value]
    unsettled = [w for w in too_wide if not_settled(w.start_s, found.events)]
    too_wide = [w for w in too_wide if w not in unsettled]
    widest = max(too_wide or hover, key=lambda w: w.half_width_raw)
    verdict = Verdict.at_most(
        "steady_band",
        widest.half_width_raw,
        limit,
        what=f"the half width of the head speed band in hover, sensor noise and all, from {_at(widest.start_s)}",
        interval=(widest.half_width, widest.half_width_raw),
    ).unless_it_may_hold("a log with less noise in the speed")
    verdict = unless_cyclic(band_as_sensed(verdict, found, too_wide), found, too_wide)
    if unsettled and verdict.verdict is Outcome.FAIL and not too_wide:
        why = "the head was not back from the load before"
        verdict = verdict.but(why, needs=("a log with 10 s of plain hover",))
    return _with(verdict, class_words("steady_band_full_percent", 2.0 * widest.half_width_raw))


NOT_TOLD = "the log does not show whether the machine flew: no height, no collective, no hard load"


def _overspeed(found: Measured, numbers: Owner) -> Verdict:
    peaks = found.peaks
    if not peaks:
        return Verdict.unknown(
            "overspeed", "no governed running of 3 s or more with a head speed", needs=("head speed",)
        )
    highest = max(peaks, key=lambda p: p.percent)
    share, low, top = highest.percent, highest.percent_interval[0], max(p.percent_interval[1] for p in peaks)
    limit = numbers.limit("limits.overspeed")
    what = f"head speed above the set speed at {_at(highest.at_s)}"
    verdict = Verdict.at_most("overspeed", share, limit, what=what, interval=(low, top))
    if verdict.verdict is Outcome.FAIL:
        verdict = _with(verdict, class_words("rise_percent", share))
        step_rpm = found.signals.speed_step_rpm
        if limit is None or share - 0.5 * _step_percent(found) > limit.value:
            return verdict
        why = f"the speed is written in steps of {step_rpm:.0f} rpm: rounded up, it may hold"
        return verdict.but(why, needs=("a speed written in finer steps",))
    climbs = [event for event in found.events if event.kind == "climb"]
    if found.events and all(event.peak_hidden for event in climbs or found.events):
        why = "rows or values are missing where the head may have overshot"
        return Verdict.unknown("overspeed", why, needs=("a log without holes after a hard load",))
    if not found.events:
        return Verdict.unknown(
            "overspeed", "no hard load was taken off in this log", needs=("a log with climb-outs or pitch pumps",)
        )
    verdict = _with(verdict, class_words("rise_percent", max(share, 0.0)))
    return overspeed_as_sensed(verdict, found)


def _recovery(found: Measured, numbers: Owner) -> Verdict:
    if not found.events:
        return Verdict.unknown(
            "recovery", "no hard load in this log", needs=("a log with a hard climb-out or pitch pumps",)
        )
    lost = [e for e in found.events if e.recovered is False and not e.hidden_s]
    limit = numbers.limit("limits.recovery")
    band = numbers.limit("limits.recovery_band")
    within = f"{band.value:g} {band.unit}" if band else "1 %"
    if lost:
        at = ", ".join(_at(e.start_s) for e in lost[:3])
        reason = f"after the load at {at} the head did not come back to within {within} to stay"
        if any((e.duty_max or 0.0) >= FULL_DUTY for e in lost):
            reason += "; the duty stood at its stop"
        return Verdict(
            check="recovery",
            verdict=Outcome.FAIL,
            reason=reason,
            unit="s",
            limit=limit.value if limit else None,
            limit_text=f"<= {limit.value:g} s" if limit else "",
            limit_origin=limit.origin if limit else "",
        )
    times = [(t, e) for e in found.events for t in (e.load_recovery_s, e.unload_recovery_s) if t is not None]
    unseen = [e for e in found.events if e.recovered is False and e.hidden_s]
    if unseen:
        why = f"rows or values are missing about the load at {_at(unseen[0].start_s)}"
        return Verdict.unknown("recovery", why, needs=("a log without holes at a hard load",))
    if not times:
        return Verdict.unknown("recovery", "the log ends before any load is over", needs=("a longer log",))
    worst_s, worst = max(times, key=lambda t: t[0])
    spans = [s for e in found.events for s in (e.load_recovery_s_interval, e.unload_recovery_s_interval) if s]
    least_s, most_s = (max(ends) for ends in zip(*spans, strict=True)) if spans else (worst_s, worst_s)
    doubt = found.signals.interval_s + max(e.hidden_s for e in found.events)
    longer = doubt + max(e.end_doubt_s for e in found.events)
    verdict = Verdict.at_most(
        "recovery",
        worst_s,
        limit,
        what=f"recovery to within {within} after the load at {_at(worst.start_s)}, read every "
        f"{found.signals.interval_s:.2g} s,",
        interval=(max(least_s - doubt, 0.0), most_s + longer if most_s > 0.0 or longer > HIDDEN_S else 0.0),
    )
    likely_s = max((e.least_likely_s or 0.0 for e in found.events), default=0.0) - doubt
    all_noise = least_s - doubt <= 0.0  # noise alone may have taken it out of its band
    if all_noise or doubt > found.signals.interval_s or (limit is not None and likely_s <= limit.value):
        verdict = verdict.unless_it_may_hold("a log with collective, finer in speed, without holes at a hard load")
    deepest = max((e.undershoot_percent or 0.0 for e in found.events), default=0.0)
    drop = f", deepest drop {deepest:.1f} %, {class_words('drop_percent', deepest)}"
    return _with(verdict, class_words("recovery_s", worst_s) + drop)


def _no_hunting(found: Measured, numbers: Owner) -> Verdict:
    return unless_it_rings(_in_steady_running(found, numbers), found)


def _in_steady_running(found: Measured, numbers: Owner) -> Verdict:
    limit = numbers.limit("limits.hunting")
    lines = [(w.line, w) for w in found.windows if w.line is not None]
    if found.swings_under_load:
        swing = max(found.swings_under_load, key=lambda s: s.amplitude_percent)
        return Verdict.at_most(
            "no_hunting",
            swing.amplitude_percent,
            limit,
            what=f"a regular swing of the head speed under climb load, {swing.frequency_hz:.1f} Hz,",
            interval=(_least(swing, found), swing.amplitude_percent_high),
        ).unless_it_may_hold("a log with quicker rows or less noise in the speed")
    if not lines:
        return _no_line(found)
    line, window = max(lines, key=lambda pair: pair[0].amplitude_percent)
    high = max(_may_swing(pair[0], sensed=found.signals.sensed) for pair in lines)
    kind = "regular" if (line.regular or 0.0) >= REGULAR else "irregular"
    verdict = Verdict.at_most(
        "no_hunting",
        line.amplitude_percent,
        limit,
        what=f"the strongest swing in steady running, {line.frequency_hz:.1f} Hz, {kind}, from {_at(window.start_s)},",
        interval=(_least(line, found), high),
    )
    if verdict.verdict is Outcome.FAIL and kind == "irregular":
        return replace(
            verdict,
            verdict=Outcome.UNKNOWN,
            reason=verdict.reason + "; but it does not repeat, so gusts or stick may have caused it",
            needs=("a log with 10 s of plain hover in calm air",),
        )
    if verdict.verdict is not Outcome.PASS:
        return verdict.unless_it_may_hold("a log with quicker rows or less noise in the speed")
    verdict = _unless_it_moves(_unless_it_swings_slowly(verdict, [x for x, _ in lines]), [w for _, w in lines])
    return _unless_another_swings(verdict, found)


def _unless_another_swings(verdict: Verdict, found: Measured) -> Verdict:
    """Return unknown for a pass beside a regular swing of duty or current: the speed sensor may be too slow for it."""
    if verdict.verdict is not Outcome.PASS or verdict.limit is None:
        return verdict
    other = max(found.elsewhere, key=lambda one: one.head_percent, default=None)
    if other is None or other.head_percent <= verdict.limit:
        return verdict
    return verdict.but(_swings_unseen(other), needs=UNSEEN)


UNSEEN = ("a quicker speed sensor, or a recording to listen to",)


def _swings_unseen(other: Elsewhere) -> str:
    by = f"by {other.swing_percent:.2g} % of itself"
    if other.frequency_hz is None:
        told = f"the {other.channel} moves {by}, and rows so far apart do not show how fast"
    else:
        told = f"the {other.channel} swings regularly {by} at {other.frequency_hz:.1f} Hz"
    return (
        f"{told}: the head may swing with it by up to {other.head_percent:.2g} %, "
        "behind a speed sensor too slow to show it"
    )


def _no_line(found: Measured) -> Verdict:
    """Say why no window of steady running shows whether the head swings."""
    if not found.windows:
        why = too_coarse(found) or "no steady running of 3 s or more"
        return Verdict.unknown("no_hunting", why, needs=("a log with steady running",))
    apart = f"rows {found.signals.interval_s:.2g} s apart are too few in steady running to show a swing"
    other = max(found.elsewhere, key=lambda one: one.head_percent, default=None)
    why = apart if other is None else f"{apart}; {_swings_unseen(other)}"
    return Verdict.unknown("no_hunting", why, needs=("a log with more rows a second",))


def _unless_it_swings_slowly(verdict: Verdict, lines: Sequence[Swing]) -> Verdict:
    """Return unknown for a pass beside a large slow swing: loop, hand and wind look alike there.

    A swing that does not repeat itself counts from LARGE times the limit on: two or three turns are too few to tell.
    """
    if verdict.limit is None:
        return verdict
    slow = [
        x.slower
        for x in lines
        if x.slower
        and x.slower.amplitude_percent > verdict.limit * (1.0 if (x.slower.regular or 0.0) >= REGULAR else LARGE)
    ]
    worst = max(slow, key=lambda x: x.amplitude_percent, default=None)
    if worst is None:
        return verdict
    repeats = ", repeats" if (worst.regular or 0.0) >= REGULAR else ""
    told = f"{worst.frequency_hz:.2f} Hz, {worst.amplitude_percent:.2f} %{repeats}"
    return replace(
        verdict,
        verdict=Outcome.UNKNOWN,
        reason=f"{verdict.reason}; but a slow swing of {told}: loop, hand or wind",
        needs=("a log with 20 s of plain hover in calm air",),
    )


def _unless_it_moves(verdict: Verdict, windows: Sequence[Calm]) -> Verdict:
    """Return unknown for a pass beside a head that moves too far, in a window too short to show a swing so slow.

    From LARGE times the limit on, or from the limit on where four turns of the lowest swing do not fit in. A swing of
    two turns or less in a window looks like a trend or a bend, and is taken out with it.
    """
    if verdict.verdict is not Outcome.PASS or verdict.limit is None:
        return verdict
    far = [w for w in windows if w.half_width > verdict.limit * (LARGE if w.end_s - w.start_s >= ENOUGH_S else 1.0)]
    widest = max(far, key=lambda w: w.half_width, default=None)
    if widest is None:
        return verdict
    why = (
        f"the head moves by {widest.half_width:.2f} % either way from {widest.start_s:.1f} to {widest.end_s:.1f} s, "
        "slower than so short a part shows: a slow swing, load, hand or wind"
    )
    return verdict.but(why, needs=("a log with 20 s of plain hover in calm air",))


def _step_percent(found: Measured) -> float:
    """Return the step in which the speed was written, percent of the lowest set speed."""
    return 100.0 * found.signals.speed_step_rpm / min((s.set_rpm or inf for s in found.governed), default=inf)


def _least(line: Swing, found: Measured) -> float:
    """Return what is left of a line without noise, percent; one of less than a step of the speed may be its rounding.

    Equation: a speed that stands between two steps is written as a square wave of one, whose first line is 2/pi of it.
    """
    step = _step_percent(found)
    rounded = 2.0 / pi * step if line.amplitude_percent < step else 0.0
    return max(line.amplitude_percent_low - rounded, 0.0)


def _may_swing(line: Swing, *, sensed: bool) -> float:
    """Return how strong a line may really be, percent: one that repeats itself may be seen through a slow sensor."""
    repeats = (line.regular or 0.0) >= REGULAR and line.chance < BY_CHANCE
    return line.behind_slow_sensor_percent if sensed and repeats else line.amplitude_percent_high


def _with(verdict: Verdict, words: str) -> Verdict:
    return replace(verdict, reason=f"{verdict.reason}; {words}") if words else verdict


def _at(time_s: float) -> str:
    return f"{time_s:.1f} s"
