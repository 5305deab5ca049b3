"""The map of gains: which hold every tolerance, how deep the head dips, how far from hunting, where today's are."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.governor_result import Tuning, TuningPoint
from steadyhead.flight.governor_tolerances import MODULUS_LEAST
from steadyhead.report.figures.canvas import SMALL_PT, Drawing, blank, style, svg_text, title
from steadyhead.report.palette import colour
from steadyhead.report.wording import MARKS
from steadyhead.words.verdict import Limit, Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.contour import QuadContourSet

SIZE_IN = (7.4, 5.6)
SHADE = {Outcome.PASS: 0.26, Outcome.UNKNOWN: 0.16, Outcome.FAIL: 0.12}
WORDS = {
    Outcome.PASS: "hold every tolerance on every machine drawn",
    Outcome.UNKNOWN: "hold them on the machine described, not on all drawn",
    Outcome.FAIL: "break a tolerance on the machine described",
}
TICKS = (0.25, 0.5, 1.0, 2.0, 4.0)
LEVELS = 5
HEIGHTS = {"drop_percent": 1.3, "modulus_margin": 0.45, "rise_percent": -1.35}
"""Where the lines of a figure are labelled, powers of two of the integral gain: each figure has a height of its own."""
LIMIT_HEIGHT = -0.6
END = 2
"""Points at either end of a line where no label stands: it would run out of the map."""
SPARSE = 3

Floats = NDArray[np.float64]


def tuning_drawing(machine: str, tuning: Tuning, droop: Limit | None = None, overspeed: Limit | None = None) -> Drawing:
    """Return the map of gains as SVG, with the verdict on today's in words."""
    with style():
        drawn = blank(SIZE_IN)
        axes = drawn.subplots()
        edges = _edges(np.log2(np.array(tuning.factors)))
        _ground(axes, tuning, edges)
        _lines(axes, tuning, "drop_percent", "blue", "-", "%.1f %% below", droop)
        _lines(axes, tuning, "rise_percent", "ochre", "--", "%.1f %% above", overspeed)
        _lines(axes, tuning, "modulus_margin", "plum", ":", "%.2f from hunting", None, MODULUS_LEAST)
        whose = "today's" if tuning.advice_known else "typical"
        _mark(axes, tuning.today, "X", f"{whose} gains")
        if tuning.suggested is not None and tuning.suggested != tuning.today:
            _mark(axes, tuning.suggested, "o", "nearest good ones")
        for axis, name in ((axes.xaxis, "proportional gain"), (axes.yaxis, "integral gain (per second)")):
            axis.set_ticks([float(np.log2(tick)) for tick in TICKS], [f"{tick:g}" for tick in TICKS])
            axis.set_label_text(f"{name}, times {whose}")
        axes.set_xlim(edges[0], edges[-1])
        axes.set_ylim(edges[0], edges[-1])
        axes.grid(False)
        drawn.legend(loc="outside lower center", ncols=2)
        words = tuning_words(machine, tuning)
        title(axes, words, tuning.today.verdict, slides=True)
        return Drawing(name="tuning", title="Map of gains", says=words, svg=svg_text(drawn), wide=True)


def tuning_words(machine: str, tuning: Tuning) -> str:
    """Return the verdict on today's gains in words."""
    outcome = tuning.today.verdict
    whose = "today's gains" if tuning.advice_known else "typical gains (today's are not known)"
    return f"{MARKS[outcome]} {machine}: {whose} {WORDS[outcome]}"


def _ground(axes: "Axes", tuning: Tuning, edges: Floats) -> None:
    """Shade every cell by its verdict; marks say the same without colour."""
    from matplotlib.patches import Rectangle

    size = len(tuning.factors)
    seen: set[Outcome] = set()
    for at, point in enumerate(tuning.points):
        row, column, outcome = at // size, at % size, point.verdict
        axes.add_patch(
            Rectangle(
                (edges[row], edges[column]),
                edges[row + 1] - edges[row],
                edges[column + 1] - edges[column],
                facecolor=(colour(outcome.value), SHADE[outcome]),
                linewidth=0.0,
                label="" if outcome in seen else f"{MARKS[outcome]} {WORDS[outcome]}",
            )
        )
        seen.add(outcome)
        if row % SPARSE == 1 and column % SPARSE == 1:
            axes.text(
                0.5 * (edges[row] + edges[row + 1]), 0.5 * (edges[column] + edges[column + 1]), MARKS[outcome],
                ha="center", va="center", fontsize=SMALL_PT, color=colour(outcome.value),
            )  # fmt: skip


def _lines(
    axes: "Axes", tuning: Tuning, field: str, shade: str, dash: str, words: str, limit: Limit | None,
    also: float | None = None,
) -> None:  # fmt: skip
    """Draw lines of one figure over the map; the line on its limit is bold."""
    size = len(tuning.factors)
    places = np.log2(np.array(tuning.factors))
    values = np.array([getattr(point, field) for point in tuning.points]).reshape(size, size).T
    values = np.minimum(values, 100.0)
    low, high = float(values.min()), float(values.max())
    if high - low <= 1e-9:
        return
    inner = np.linspace(low, high, LEVELS + 2)[1:-1]
    drawn = axes.contour(places, places, values, levels=inner, colors=colour(shade), linestyles=dash, linewidths=0.9)
    _labelled(axes, drawn, words, HEIGHTS[field])
    bound = limit.value if limit is not None else also
    if bound is not None and low < bound < high:
        bold = axes.contour(
            places, places, values, levels=[bound], colors=colour(shade), linestyles=dash, linewidths=2.4
        )
        _labelled(axes, bold, f"limit {words}", LIMIT_HEIGHT)


def _labelled(axes: "Axes", drawn: "QuadContourSet", words: str, height: float) -> None:
    """Write each line's value where it crosses `height`; one that does not comes there as near as it can."""
    places = []
    for path in drawn.get_paths():
        line = np.asarray(path.vertices, np.float64)
        if len(line) > 2 * END:
            inside = line[END:-END]
            places.append(tuple(inside[np.argmin(np.abs(inside[:, 1] - height))]))
    if places:
        axes.clabel(drawn, fmt=lambda level: words % level, fontsize=SMALL_PT - 1.0, inline=True, manual=places)


def _mark(axes: "Axes", point: TuningPoint, mark: str, words: str) -> None:
    axes.plot(
        [np.log2(point.gain_factor)], [np.log2(point.integral_factor)], mark, color=colour("ink"), markersize=10.0,
        markeredgecolor=colour("paper"), markeredgewidth=1.4, linestyle="none", label=words, zorder=6,
    )  # fmt: skip


def _edges(places: Floats) -> Floats:
    half = 0.5 * float(places[1] - places[0])
    return np.concatenate([places - half, places[-1:] + half])
