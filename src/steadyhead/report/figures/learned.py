"""What logs told of a machine: each number beside that of the file, and a log flown with both files."""

from typing import TYPE_CHECKING

import numpy as np

from steadyhead.learn.result import FlownLog, Learned, Parameter
from steadyhead.report.figures.canvas import SMALL_PT, WIDE_IN, Drawing, blank, shortened, style, svg_text, title
from steadyhead.report.figures.thinning import thinned
from steadyhead.report.names import check_name, file_name, key_name
from steadyhead.report.palette import colour
from steadyhead.report.sentences import counted, listed
from steadyhead.report.wording import MARKS, ranged
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

ROW_IN = 0.44
FLOWN_IN = 2.9
"""Height of the two panels of a flown log."""
LEAST_FACTOR, MOST_FACTOR = 1.1, 4.0
"""The panel of numbers reaches at least to the one and at most to the other, either side of the file."""
TICKS = (0.25, 0.33, 0.5, 0.67, 0.8, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0, 3.0, 4.0)
SPEEDS = ("head_speed_rpm", "motor_side_speed_rpm")


def learned_drawing(result: Learned) -> Drawing:
    """Return what the logs say beside what the file says, with 90 % intervals, and the longest log flown with both."""
    told = [one for one in result.parameters if one.told and one.value]
    flown = max(result.flown, key=lambda one: one.log.duration_s, default=None)
    first_in = 0.9 + ROW_IN * max(len(told), 2)
    with style():
        drawn = blank((WIDE_IN[0], first_in + (FLOWN_IN if flown else 0.0)))
        if flown:
            ratios = {"height_ratios": (first_in, 0.5 * FLOWN_IN, 0.5 * FLOWN_IN)}
            numbers, speed, voltage = drawn.subplots(3, 1, gridspec_kw=ratios)
            speed.sharex(voltage)
            _flown(speed, voltage, flown)
        else:
            numbers = drawn.subplots()
        _numbers(numbers, told)
        words = _words(result)
        title(numbers, words, result.verdict)
        return Drawing(
            name="learned", title=f"{result.machine}, learned", says=words, svg=svg_text(drawn), wide=True
        )  # fmt: skip


def _words(result: Learned) -> str:
    mark = f"{MARKS[result.verdict]} {result.verdict.value}"
    bad = [check_name(one.check).lower() for one in result.checks if one.verdict is not Outcome.PASS]
    told = counted(sum(one.told for one in result.parameters), "number")
    return f"{mark}: {told} told by {counted(len(result.logs), 'log')}" + (
        "; check not passed: " + listed([f"“{name}”" for name in bad]) if bad else ""
    )


def _numbers(axes: "Axes", told: list[Parameter]) -> None:
    """Draw each number as a multiple of the file's, the file's own doubt as a broad bar behind it."""
    reach = LEAST_FACTOR
    for place, one in enumerate(told):
        words = f"logs {ranged(one.value, one.value_interval, one.unit)}"
        if one.file_value and one.value:
            file, logs = (_against(span, one.file_value) for span in (one.file_value_interval, one.value_interval))
            reach = max([reach, *(max(end, 1.0 / end) for end in (*file, *logs))])
            axes.barh(place, file[1] - file[0], left=file[0], height=0.36, color=colour("plum"), alpha=0.25)
            axes.plot((1.0, 1.0), (place - 0.18, place + 0.18), color=colour("plum"), linewidth=1.2)
            axes.plot(logs, (place, place), color=colour("blue"), linewidth=1.6, marker="|", markersize=7)
            axes.plot(one.value / one.file_value, place, color=colour("blue"), marker="o", markersize=4)
            words += f", file {ranged(one.file_value, one.file_value_interval, one.unit, stated=True)}"
        else:
            words += ", the file says nothing"
        axes.annotate(
            words, xy=(0.0, place - 0.22), xycoords=axes.get_yaxis_transform(), xytext=(3, 0),
            textcoords="offset points", va="bottom", fontsize=SMALL_PT, color=colour("soft"),
        )  # fmt: skip
    reach = min(reach * 1.05, MOST_FACTOR)
    axes.set_xscale("log")
    axes.set_xlim(1.0 / reach, reach)
    ticks = [tick for tick in TICKS if 1.0 / reach <= tick <= reach and (reach < 2.0 or tick not in (0.9, 1.1))]
    axes.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    axes.set_xticks([], minor=True)
    axes.set_yticks(range(len(told)), [shortened(key_name(one.key), 34) for one in told])
    axes.set_ylim(len(told) - 0.5, -0.75)
    axes.grid(False, axis="y")
    axes.set_xlabel("logs over file (1 = alike); line: 90 % of the logs, bar: 90 % of the file")
    if not told:
        axes.text(0.5, 0.5, "these logs tell no number", transform=axes.transAxes, ha="center", color=colour("unknown"))


def _against(span: tuple[float, float] | None, of: float) -> tuple[float, float]:
    low, high = span or (of, of)
    least = of / MOST_FACTOR**2
    return max(low, least) / of, max(high, least) / of


def _flown(speed: "Axes", voltage: "Axes", flown: FlownLog) -> None:
    speed.set_ylabel("head speed\n(rpm)")
    voltage.set_ylabel("pack\n(V)")
    voltage.set_xlabel(f"time in {shortened(file_name(flown.log.source), 40)} (s)")
    speed.tick_params(labelbottom=False)
    lines = ((flown.log, "ink", "the log"), (flown.before, "plum", "your file"), (flown.after, "blue", "proposed file"))
    for trace, shade, words in lines:
        _curve(speed, trace, SPEEDS, (shade, words))
        _curve(voltage, trace, ("pack_voltage_v",), (shade, words))
    for axes in (speed, voltage):
        for _, start_s, end_s in flown.driven:
            axes.axvspan(start_s, end_s, color=colour("teal"), alpha=0.08, linewidth=0, zorder=0)
    speed.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), borderpad=0.0, ncols=3, fontsize=SMALL_PT)
    speed.annotate(
        "shaded: the motor drives", xy=(1.0, 1.0), xycoords="axes fraction", ha="right", va="bottom",
        fontsize=SMALL_PT, color=colour("soft"),
    )  # fmt: skip


def _curve(axes: "Axes", trace: Trace, channels: tuple[str, ...], how: tuple[str, str]) -> None:
    values = next((v for v in (trace.get(channel) for channel in channels) if v is not None), None)
    if values is not None:
        xs, ys = thinned(trace.time_s, np.asarray(values, np.float64))
        axes.plot(xs, ys, color=colour(how[0]), linewidth=1.0, label=how[1])
