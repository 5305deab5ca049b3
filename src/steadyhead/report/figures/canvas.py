"""A blank drawing in the sheet's style, and its SVG text: the same data always gives the same text."""

import io
import math
import re
import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Lock
from typing import TYPE_CHECKING, Any

from steadyhead.report.palette import colour
from steadyhead.words.verdict import Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

NARROW_IN = (4.1, 3.15)
"""Narrow enough that its letters stay legible on a phone."""
WIDE_IN = (7.4, 4.9)
SMALL_PT = 8.0
NAME_SHARE = 0.075
"""Height of a line of small words, with its distance, as a share of the axis of a narrow drawing."""
PHONE_LETTERS = 42
"""Letters of a title that a phone shows of a drawing that slides sideways: own choice, read off at 390 px."""
LETTER_PT = 6.4
"""Width that one bold letter of a title takes, points."""
_STYLE: "dict[Any, Any]" = {
    "svg.fonttype": "none",
    "svg.hashsalt": "steadyhead",
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 8.8,
    "axes.titlesize": 8.8,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.labelsize": 8.8,
    "axes.edgecolor": colour("soft"),
    "axes.labelcolor": colour("ink"),
    "axes.titlecolor": colour("ink"),
    "axes.linewidth": 0.7,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.facecolor": colour("paper"),
    "figure.facecolor": colour("paper"),
    "grid.color": colour("rule"),
    "grid.linewidth": 0.5,
    "xtick.color": colour("soft"),
    "ytick.color": colour("soft"),
    "xtick.labelcolor": colour("ink"),
    "ytick.labelcolor": colour("ink"),
    "text.color": colour("ink"),
    "text.parse_math": False,
    "lines.linewidth": 1.6,
    "lines.solid_capstyle": "round",
    "legend.frameon": False,
    "legend.fontsize": SMALL_PT,
    "legend.handlelength": 2.6,
    "legend.columnspacing": 1.2,
    "path.simplify": True,
    "path.simplify_threshold": 0.25,
}
# The style of matplotlib is one for the whole process: two sheets drawn at once take turns.
_STYLE_LOCK = Lock()
_HEAD = re.compile(r"\A.*?(?=<svg)", re.DOTALL)
_METADATA = re.compile(r"\s*<metadata>.*?</metadata>", re.DOTALL)
_FONTS = re.compile(r"font-family: 'DejaVu Sans'[^;\"]*")
_NO_TURN = re.compile(r' transform="rotate\(-?0 [^"]*\)"')


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """One finished drawing: SVG text, what it is called, and what it says in words."""

    name: str
    title: str
    says: str
    svg: str
    wide: bool = False


@contextmanager
def style() -> Iterator[None]:
    """Hold the sheet's drawing style for as long as one drawing takes."""
    import matplotlib

    with _STYLE_LOCK, matplotlib.rc_context(_STYLE):
        yield


def blank(size_in: tuple[float, float], *, fitted: bool = True) -> "Figure":
    """Return an empty figure; call it within `style()`. A figure that is not fitted sets its own margins."""
    from matplotlib.figure import Figure

    return Figure(figsize=size_in, layout="constrained" if fitted else None)


def svg_text(drawn: "Figure") -> str:
    """Return the figure as SVG text with letters kept as letters, without date or maker's line."""
    text = io.StringIO()
    drawn.savefig(text, format="svg", metadata={"Date": None, "Creator": None})
    svg = _HEAD.sub("", text.getvalue(), count=1)
    svg = _FONTS.sub("font-family: 'DejaVu Sans', Verdana, sans-serif", _METADATA.sub("", svg))
    return _NO_TURN.sub("", svg)


def limit_line(axes: "Axes", value: float, label: str, *, upright: bool = False) -> None:
    """Draw a limit as a dashed line that carries its own words: above the frame, or at the right end of the line."""
    red = colour("fail")
    line = axes.axvline if upright else axes.axhline
    line(value, color=red, linestyle=(0, (5, 2.5)), linewidth=1.1, zorder=3)
    axes.annotate(
        label,
        xy=(value, 1.0) if upright else (1.0, value),
        xycoords=axes.get_xaxis_transform() if upright else axes.get_yaxis_transform(),
        xytext=(0, 2) if upright else (-3, -2),
        textcoords="offset points",
        ha="center" if upright else "right",
        va="bottom" if upright else "top",
        fontsize=SMALL_PT,
        color=red,
        zorder=6,
        bbox={"facecolor": colour("paper"), "edgecolor": "none", "alpha": 0.7, "pad": 0.6},
    )


def title(axes: "Axes", words: str, outcome: Outcome, *, raised: bool = False, slides: bool = False) -> int:
    """Write the verdict in words over the drawing, broken where it is too long, and return its lines.

    `slides`: the drawing slides sideways on a phone; the words then stand at its left, within a phone's width.
    """
    width_pt = 72.0 * float(axes.get_figure(root=True).get_figwidth())  # type: ignore[union-attr]
    lines = textwrap.wrap(words, PHONE_LETTERS if slides else max(24, int(width_pt / LETTER_PT)))
    told, shade, pad = "\n".join(lines[:3]), colour(outcome.value), 13.0 if raised else 6.0
    axes.set_title(told, color=shade, pad=pad, loc="left" if slides else "center")
    return len(lines[:3])


def small(
    axes: "Axes", words: str, at: tuple[float, float], *, shade: str, shift_pt: tuple[float, float], **how: Any
) -> None:
    """Write a few small words beside a point of the drawing; `at` counts in the frame's width and the data's height."""
    note = axes.annotate(
        words,
        xy=at,
        xycoords=axes.get_yaxis_transform(),
        xytext=shift_pt,
        textcoords="offset points",
        fontsize=SMALL_PT,
        color=colour(shade),
        zorder=6,
        **how,
    )
    # A long name may run out of the frame; it must not squeeze the drawing to nothing.
    note.set_in_layout(False)


def line_names(axes: "Axes", names: Sequence[tuple[float, str]]) -> None:
    """Name level lines at their left end, each above itself, or below where that would meet what stands over it.

    `names`: height of each line and its words; the ends of the axis must stand already.
    """
    low, high = axes.get_ylim()
    tall = NAME_SHARE * (high - low)
    free_up_to = math.inf
    for height, words in sorted(names, reverse=True):
        above = height + tall <= free_up_to
        free_up_to = height if above else height - tall
        shift_pt = (3, 2 if above else -2)
        small(axes, words, (0.0, height), shade="soft", shift_pt=shift_pt, va="bottom" if above else "top")


def shortened(name: str, most: int = 24) -> str:
    """Return a name cut to what a drawing has room for."""
    return name if len(name) <= most else name[: most - 1].rstrip() + "…"
