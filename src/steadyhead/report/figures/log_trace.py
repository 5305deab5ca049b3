"""One log over time: head speed, how far it strays from the set speed, duty; limits and verdict drawn in."""

from typing import TYPE_CHECKING

import numpy as np

from steadyhead.judge.result import Judgement, LoadEvent, Segment
from steadyhead.report.figures.canvas import SMALL_PT, WIDE_IN, Drawing, blank, limit_line, style, svg_text, title
from steadyhead.report.figures.thinning import Series, thinned
from steadyhead.report.names import check_name, segment_name
from steadyhead.report.palette import SHADES, colour
from steadyhead.report.sentences import counted, quoted
from steadyhead.report.wording import MARKS
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Limit, Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_HEAD_CHANNELS = ("head_speed_rpm", "motor_side_speed_rpm")
_LETTER_SHARE = 0.0105
"""Share of the drawing's width that one letter of the ribbon takes."""
_NUMBER_SHARE = 0.012
MOST_SHADED = 400
"""Stretches or loads that are shaded and named; more would be a point wide or less, and take minutes: own choice."""
_LEAST_PERCENT = 6.0
_MOST_PERCENT = 15.0
"""The panel of strayed speed shows at least the one and at most the other, percent of the set speed either way."""


def log_drawing(
    judgement: Judgement, *, name: str, duty_max: Limit | None = None, beside: Trace | None = None
) -> Drawing:  # fmt: skip
    """Return head speed, its straying from the set speed, and duty of one judged log over time.

    `beside` is another trace of the same time, drawn thinner: the log that a simulated flight replays.
    """
    with style():
        drawn = blank(WIDE_IN, fitted=False)
        grid = {"height_ratios": (0.34, 2.0, 2.0, 1.4), "hspace": 0.09}
        ribbon, speed, strayed, duty = drawn.subplots(4, 1, sharex=True, gridspec_kw=grid)
        _ribbon(ribbon, judgement)
        for axes in (speed, strayed, duty):
            for segment in _shaded(judgement):
                axes.axvspan(segment.start_s, segment.end_s, color=_shade(segment), alpha=0.5, linewidth=0, zorder=0)
        _speed(speed, judgement)
        _strayed(strayed, judgement)
        _duty(duty, judgement, duty_max)
        if beside is not None:
            _beside(speed, beside, _HEAD_CHANNELS, 1.0)
            _beside(duty, beside, ("duty",), 100.0)
        duty.set_xlabel("time after the first row (s)")
        if not judgement.trace.understood:
            duty.set_xticks([])
        elif judgement.trace.time_s.size > 1:
            duty.set_xlim(float(judgement.trace.time_s[0]), float(judgement.trace.time_s[-1]))
        drawn.align_ylabels([speed, strayed, duty])
        words = log_words(judgement)
        top_pt = 8.0 + 12.0 * title(ribbon, words, judgement.verdict)
        drawn.subplots_adjust(left=0.112, right=0.985, bottom=0.095, top=1.0 - top_pt / (72.0 * WIDE_IN[1]))
        many = len(judgement.segments)
        says = words if many <= MOST_SHADED else f"{words}. Its {many} stretches are too narrow here to be shaded"
        return Drawing(name=name, title=f"Log {judgement.log}", says=says, svg=svg_text(drawn), wide=True)


def log_words(judgement: Judgement) -> str:
    """Return the verdict on a log with what failed, in words."""
    mark = f"{MARKS[judgement.verdict]} {judgement.verdict.value}"
    by = {o: [check_name(c.check).lower() for c in judgement.checks if c.verdict is o] for o in Outcome}
    if by[Outcome.FAIL]:
        return f"{mark} of {quoted(by[Outcome.FAIL], most=3)}"
    passed = counted(len(by[Outcome.PASS]), "check") + " passed"
    unknown = f", {len(by[Outcome.UNKNOWN])} not known" if by[Outcome.UNKNOWN] else ""
    return f"{mark}: {passed}{unknown}"


def _ribbon(axes: "Axes", judgement: Judgement) -> None:
    axes.set_ylim(0.0, 1.0)
    axes.set_yticks([])
    axes.grid(False)
    axes.spines[:].set_visible(False)
    axes.tick_params(bottom=False)
    whole = max(judgement.trace.duration_s, 1e-9)
    for number, segment in enumerate(_shaded(judgement), 1):
        share = (segment.end_s - segment.start_s) / whole
        axes.axvspan(segment.start_s, segment.end_s, color=_shade(segment), linewidth=0)
        axes.axvline(segment.start_s, color=colour("soft"), linewidth=0.5)
        words = f"{number} {segment_name(segment.kind)}"
        short = str(number) if share > _NUMBER_SHARE else ""
        words = words if share > _LETTER_SHARE * len(words) else short
        middle = 0.5 * (segment.start_s + segment.end_s)
        axes.text(middle, 0.45, words, ha="center", va="center", fontsize=SMALL_PT, clip_on=True, in_layout=False)


def _head_speed(judgement: Judgement) -> Series | None:
    found = (judgement.trace.get(channel) for channel in _HEAD_CHANNELS)
    return next((values for values in found if values is not None), None)


def _speed(axes: "Axes", judgement: Judgement) -> None:
    axes.set_ylabel("head speed\n(rpm)")
    values = _head_speed(judgement)
    if values is None:
        _absent(axes, "the log has no rotor speed")
        return
    _curve(axes, judgement.trace.time_s, values, "blue")
    for segment in _governed(judgement) if _shaded(judgement) else ():
        axes.plot(
            (segment.start_s, segment.end_s),
            [segment.set_rpm or 0.0] * 2,
            color=colour("ink"),
            linewidth=0.9,
            linestyle=(0, (1, 1.5)),
            zorder=4,
        )
    axes.set_ylim(bottom=0.0)


def _beside(axes: "Axes", trace: Trace, channels: tuple[str, ...], scale: float) -> None:
    """Draw the first of some channels that another trace has, thin and in another colour, with a word for it."""
    values = next((v for v in (trace.get(channel) for channel in channels) if v is not None), None)
    if values is None:
        return
    xs, ys = thinned(trace.time_s, scale * np.asarray(values, np.float64))
    axes.plot(xs, ys, color=colour("plum"), linewidth=0.7, zorder=2, label="the log")
    axes.legend(loc="lower right", fontsize=SMALL_PT, frameon=False)


def _strayed(axes: "Axes", judgement: Judgement) -> None:
    """Draw the speed while governed, percent of the set speed, with the limits of droop, overspeed and band."""
    axes.set_ylabel("off set speed\n(%)")
    values, stretches = _head_speed(judgement), _governed(judgement)
    if values is None or not stretches:
        _absent(axes, "no governed stretch with a known set speed")
        return
    time_s = judgement.trace.time_s
    strayed = np.full(time_s.size, np.nan)
    for segment in stretches:
        inside = slice(*time_s.searchsorted((segment.start_s, np.nextafter(segment.end_s, np.inf))))
        strayed[inside] = 100.0 * (values[inside] / (segment.set_rpm or np.nan) - 1.0)
    _curve(axes, time_s, strayed, "blue")
    limits = {check.check: check.limit for check in judgement.checks if check.unit == "%"}
    _percent_limits(axes, limits)
    reach = _reach_percent(judgement, limits)
    axes.set_ylim(-reach, reach)
    for event in judgement.events if len(judgement.events) <= MOST_SHADED else ():
        middle = 0.5 * (event.start_s + event.end_s)
        axes.text(
            middle,
            0.03,
            event.kind,
            transform=axes.get_xaxis_transform(),
            ha="center",
            fontsize=SMALL_PT,
            color=colour("plum"),
            zorder=6,
            clip_on=True,
            in_layout=False,
        )


def _reach_percent(judgement: Judgement, limits: dict[str, float | None]) -> float:
    """Return how far the panel reaches: past every limit and every deviation that was judged."""
    judged = [limits.get("climb_droop"), limits.get("overspeed")]
    parts: tuple[Segment | LoadEvent, ...] = (*_governed(judgement), *judgement.events)
    for part in parts:
        judged += [part.droop_percent, part.undershoot_percent, part.overshoot_percent]
    return min(_MOST_PERCENT, 1.0 + max([_LEAST_PERCENT, *(abs(figure) for figure in judged if figure is not None)]))


def _percent_limits(axes: "Axes", limits: dict[str, float | None]) -> None:
    band, droop, overspeed = (limits.get(name) for name in ("steady_band", "climb_droop", "overspeed"))
    if band is not None:
        axes.axhspan(-band, band, color=colour("teal"), alpha=0.15, linewidth=0, zorder=1)
    if droop is not None:
        limit_line(axes, -droop, f"droop limit {droop:g} %")
    if overspeed is not None:
        limit_line(axes, overspeed, f"overspeed limit {overspeed:g} %")


def _duty(axes: "Axes", judgement: Judgement, duty_max: Limit | None) -> None:
    values = judgement.trace.get("duty")
    axes.set_ylabel("duty\n(%)")
    axes.set_ylim(0.0, 108.0)
    if values is None:
        _absent(axes, "the log has no controller duty")
        return
    _curve(axes, judgement.trace.time_s, 100.0 * values, "teal")
    if duty_max is not None:
        limit_line(axes, 100.0 * duty_max.value, f"duty limit {100.0 * duty_max.value:.3g} %")


def _governed(judgement: Judgement) -> tuple[Segment, ...]:
    return tuple(segment for segment in judgement.segments if segment.kind == "governed" and segment.set_rpm)


def _shaded(judgement: Judgement) -> tuple[Segment, ...]:
    """Return the stretches that the drawing shows: none where each would be too narrow to be seen."""
    return judgement.segments if len(judgement.segments) <= MOST_SHADED else ()


def _curve(axes: "Axes", time_s: Series, values: Series, shade: str) -> None:
    xs, ys = thinned(time_s, np.asarray(values, np.float64))
    axes.plot(xs, ys, color=colour(shade), linewidth=1.0, zorder=3)


def _absent(axes: "Axes", words: str) -> None:
    axes.set_yticks([])
    axes.text(0.5, 0.5, words, transform=axes.transAxes, ha="center", va="center", color=colour("unknown"))


def _shade(segment: Segment) -> str:
    return colour(SHADES.get(segment.kind, "shade-e"))
