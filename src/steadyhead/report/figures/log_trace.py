"""One log: head speed and duty over time, segments shaded and named, limits and verdict drawn in."""

from typing import TYPE_CHECKING

import numpy as np

from steadyhead.judge.result import Judgement, Segment
from steadyhead.report.figures.canvas import WIDE_IN, Drawing, blank, limit_line, style, svg_text, title
from steadyhead.report.figures.thinning import Series, thinned
from steadyhead.report.names import check_name, segment_name
from steadyhead.report.palette import SHADES, colour
from steadyhead.report.wording import MARKS, counted, listed
from steadyhead.words.verdict import Limit, Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_HEAD_CHANNELS = ("head_speed_rpm", "motor_side_speed_rpm")
_LETTER_SHARE = 0.0085
"""Share of the drawing's width that one letter of the ribbon takes."""


def log_drawing(judgement: Judgement, *, name: str, duty_max: Limit | None = None) -> Drawing:
    """Return head speed and duty of one judged log over time."""
    with style():
        drawn = blank(WIDE_IN)
        grid = {"height_ratios": (0.32, 3.1, 1.6), "hspace": 0.03}
        ribbon, speed, duty = drawn.subplots(3, 1, sharex=True, gridspec_kw=grid)
        _ribbon(ribbon, judgement)
        for axes in (speed, duty):
            _shades(axes, judgement)
        _speed(speed, judgement)
        _duty(duty, judgement, duty_max)
        duty.set_xlabel("time after the first row (s)")
        duty.set_xlim(float(judgement.trace.time_s[0]), float(judgement.trace.time_s[-1]))
        words = log_words(judgement)
        title(ribbon, words, judgement.verdict)
        return Drawing(name=name, title=f"Log {judgement.log}", says=words, svg=svg_text(drawn), wide=True)


def log_words(judgement: Judgement) -> str:
    """Return the verdict on a log with what failed, in words."""
    mark = f"{MARKS[judgement.verdict]} {judgement.verdict.value}"
    by = {o: [check_name(c.check).lower() for c in judgement.checks if c.verdict is o] for o in Outcome}
    if by[Outcome.FAIL]:
        return f"{mark}: {listed(by[Outcome.FAIL], most=3)}"
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
    for segment in judgement.segments:
        width = segment.end_s - segment.start_s
        axes.axvspan(segment.start_s, segment.end_s, color=_shade(segment), linewidth=0)
        axes.axvline(segment.start_s, color=colour("soft"), linewidth=0.5)
        words = segment_name(segment.kind)
        if width / whole > _LETTER_SHARE * len(words):
            axes.text(segment.start_s + 0.5 * width, 0.45, words, ha="center", va="center", fontsize=7.5)


def _shades(axes: "Axes", judgement: Judgement) -> None:
    for segment in judgement.segments:
        axes.axvspan(segment.start_s, segment.end_s, color=_shade(segment), alpha=0.55, linewidth=0, zorder=0)


def _speed(axes: "Axes", judgement: Judgement) -> None:
    trace = judgement.trace
    axes.set_ylabel("head speed (rpm)")
    for channel in _HEAD_CHANNELS:
        values = trace.get(channel)
        if values is not None:
            _curve(axes, trace.time_s, values, "blue")
            break
    else:
        _absent(axes, "the log has no rotor speed")
    band = {c.check: c.limit for c in judgement.checks}
    for segment in judgement.segments:
        if segment.kind == "governed" and segment.set_rpm:
            _governed(axes, segment, droop=band.get("climb_droop"), over=band.get("overspeed"))
    axes.set_ylim(bottom=0.0)
    _events(axes, judgement)


def _governed(axes: "Axes", segment: Segment, *, droop: float | None, over: float | None) -> None:
    set_rpm = segment.set_rpm or 0.0
    ends = (segment.start_s, segment.end_s)
    axes.plot(ends, (set_rpm, set_rpm), color=colour("ink"), linewidth=0.8, linestyle=(0, (1, 1.5)), zorder=4)
    for share, sign in ((droop, -1.0), (over, 1.0)):
        if share is not None:
            line = set_rpm * (1.0 + sign * share / 100.0)
            axes.plot(ends, (line, line), color=colour("fail"), linewidth=1.0, linestyle=(0, (5, 2.5)), zorder=4)


def _events(axes: "Axes", judgement: Judgement) -> None:
    for event in judgement.events:
        middle = 0.5 * (event.start_s + event.end_s)
        axes.annotate(
            event.kind,
            xy=(middle, 0.0),
            xycoords=axes.get_xaxis_transform(),
            xytext=(0, 9),
            textcoords="offset points",
            ha="center",
            fontsize=7,
            color=colour("plum"),
            arrowprops={"arrowstyle": "-", "color": colour("plum"), "linewidth": 0.8},
        )


def _duty(axes: "Axes", judgement: Judgement, duty_max: Limit | None) -> None:
    values = judgement.trace.get("duty")
    axes.set_ylabel("duty (%)")
    axes.set_ylim(0.0, 108.0)
    if values is None:
        _absent(axes, "the log has no controller duty")
        return
    _curve(axes, judgement.trace.time_s, 100.0 * values, "teal")
    if duty_max is not None:
        limit_line(axes, 100.0 * duty_max.value, f"duty limit {100.0 * duty_max.value:.3g} %")


def _curve(axes: "Axes", time_s: Series, values: Series, shade: str) -> None:
    xs, ys = thinned(time_s, np.asarray(values, np.float64))
    axes.plot(xs, ys, color=colour(shade), linewidth=1.0, zorder=3)


def _absent(axes: "Axes", words: str) -> None:
    axes.text(0.5, 0.5, words, transform=axes.transAxes, ha="center", va="center", color=colour("unknown"))


def _shade(segment: Segment) -> str:
    return colour(SHADES.get(segment.kind, "shade-e"))
