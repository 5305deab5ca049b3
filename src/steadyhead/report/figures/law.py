"""The set-point law: readings, the law with its doubt, and the head speeds asked for."""

from typing import TYPE_CHECKING

from steadyhead.channel.fitted_law import law_name
from steadyhead.channel.result import ChannelAnswer
from steadyhead.report.figures.canvas import NARROW_IN, Drawing, blank, line_names, shortened, style, svg_text, title
from steadyhead.report.palette import colour
from steadyhead.report.wording import MARKS, figure
from steadyhead.words.verdict import Outcome, worst

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def law_drawing(channel: ChannelAnswer) -> Drawing:
    """Return head speed against channel percent: readings with their spread, law, interval, targets."""
    with style():
        drawn = blank(NARROW_IN)
        axes = drawn.subplots()
        knots = channel.law.knots
        if knots:
            label = f"law: {law_name(channel.law.kind)}"
            axes.plot([k[0] for k in knots], [k[1] for k in knots], color=colour("blue"), label=label)
        _doubt(axes, channel)
        _readings(axes, channel)
        names = _targets(axes, channel)
        axes.set_xlabel("throttle channel (%)")
        axes.set_ylabel("head speed (rpm)")
        axes.margins(x=0.06, y=0.1)
        line_names(axes, names)
        if axes.get_legend_handles_labels()[1]:
            drawn.legend(loc="outside lower center", ncols=2)
        words = law_words(channel)
        title(axes, words, law_outcome(channel))
        return Drawing(name="law", title="Set-point law", says=words, svg=svg_text(drawn))


def law_outcome(channel: ChannelAnswer) -> Outcome:
    """Return the verdict of what the drawing shows: the law, and the curve value of each flight mode on it."""
    law = [check.verdict for check in channel.checks if check.check == "set_point_law"]
    return worst([*law, *(mode.verdict for mode in channel.modes)])


def law_words(channel: ChannelAnswer) -> str:
    """Return the verdict of the law and its curve values, in words."""
    outcome = law_outcome(channel)
    mark = f"{MARKS[outcome]} {outcome.value}"
    law = channel.law
    if law.slope_rpm_per_percent is None:
        return f"{mark}: the law is {law_name(law.kind)}"
    return f"{mark}: the law is {law_name(law.kind)}, {figure(law.slope_rpm_per_percent, 'rpm per %')}"


def _doubt(axes: "Axes", channel: ChannelAnswer) -> None:
    """Draw the 90 % interval of the law where the answer states it: at the curve values asked for."""
    known = [m for m in channel.modes if m.expected_rpm_interval is not None and m.curve_percent is not None]
    rows = sorted(
        (m.curve_percent, *m.expected_rpm_interval) for m in known if m.curve_percent and m.expected_rpm_interval
    )
    if len(rows) >= 2:
        xs, lows, highs = zip(*rows, strict=True)
        axes.fill_between(xs, lows, highs, color=colour("blue"), alpha=0.18, linewidth=0, label="90 % interval")


def _readings(axes: "Axes", channel: ChannelAnswer) -> None:
    if channel.readings:
        axes.errorbar(
            [r.percent for r in channel.readings],
            [r.head_speed_rpm for r in channel.readings],
            yerr=[r.spread_rpm for r in channel.readings],
            fmt="o",
            markersize=4.5,
            capsize=3,
            color=colour("ochre"),
            label="measured",
            zorder=4,
        )


def _targets(axes: "Axes", channel: ChannelAnswer) -> list[tuple[float, str]]:
    """Draw the head speeds that are asked for, and return what each is to be called."""
    names = []
    placed = [(m.curve_percent, m.target_rpm) for m in channel.modes if m.curve_percent is not None]
    if placed:
        xs, ys = zip(*placed, strict=True)
        axes.plot(xs, ys, "x", color=colour("ink"), markersize=6, zorder=5, label="wanted")
    for mode in channel.modes:
        axes.axhline(mode.target_rpm, color=colour("soft"), linewidth=0.8, zorder=1.5)
        value = "out of reach" if mode.curve_percent is None else f"{mode.curve_percent:.4g} %"
        names.append((mode.target_rpm, f"{shortened(mode.mode)}, {mode.target_rpm:.0f}: {value}"))
    return names
