"""A recording over time: how well each head speed explains the sound, the speed that was heard, and how surely."""

from typing import TYPE_CHECKING

import numpy as np

from steadyhead.judge.listening import Listening
from steadyhead.report.figures.canvas import SMALL_PT, WIDE_IN, Drawing, blank, style, svg_text, title
from steadyhead.report.figures.log_trace import log_words
from steadyhead.report.figures.thinning import thinned
from steadyhead.report.names import segment_name
from steadyhead.report.palette import PICTURE, SHADES, colour
from steadyhead.trace.sound_tracker import CLAIMED_FROM

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_LETTER_SHARE = 0.0105
MAP_DARK_SHARE = 0.4
"""Evidence from this share of the best on is drawn strongest, so that rival speeds can be seen, too."""


def sound_drawing(heard: Listening) -> Drawing:
    """Return the drawing of one recording: evidence and speed above, confidence below, segments on top."""
    with style():
        drawn = blank(WIDE_IN, fitted=False)
        grid = {"height_ratios": (0.25, 3.2, 1.0), "hspace": 0.09}
        ribbon, speed, sure = drawn.subplots(3, 1, sharex=True, gridspec_kw=grid)
        _ribbon(ribbon, heard)
        _map(speed, heard)
        _speed(speed, heard)
        _sure(sure, heard)
        sure.set_xlabel("time after the first sample (s)")
        sure.set_xlim(0.0, max(heard.duration_s, 1e-3))
        drawn.align_ylabels([speed, sure])
        words = log_words(heard.judgement) if heard.heard else "? unknown: no rotor of this machine was heard"
        top_pt = 8.0 + 12.0 * title(ribbon, words, heard.verdict)
        drawn.subplots_adjust(left=0.112, right=0.985, bottom=0.105, top=1.0 - top_pt / (72.0 * WIDE_IN[1]))
        return Drawing(name="sound", title=f"Recording {heard.wav}", says=words, svg=svg_text(drawn), wide=True)


def _ribbon(axes: "Axes", heard: Listening) -> None:
    axes.set_ylim(0.0, 1.0)
    axes.set_yticks([])
    axes.grid(False)
    axes.spines[:].set_visible(False)
    axes.tick_params(bottom=False)
    for segment in heard.segments:
        share = (segment.end_s - segment.start_s) / max(heard.duration_s, 1e-9)
        axes.axvspan(segment.start_s, segment.end_s, color=colour(SHADES.get(segment.kind, "shade-e")), linewidth=0)
        words = segment_name(segment.kind)
        if share > _LETTER_SHARE * len(words):
            middle = 0.5 * (segment.start_s + segment.end_s)
            axes.text(middle, 0.45, words, ha="center", va="center", fontsize=SMALL_PT, clip_on=True, in_layout=False)


def _map(axes: "Axes", heard: Listening) -> None:
    """Draw how well each speed explains the sound, stronger is better; what lies under it is seen through."""
    from matplotlib.colors import LinearSegmentedColormap, to_rgba

    evidence, speeds = heard.sound.evidence, heard.sound.speeds_rpm
    axes.set_ylabel("head speed\n(rpm)")
    axes.grid(False)
    if not evidence.size:
        return
    ink = LinearSegmentedColormap.from_list("ink", [to_rgba(PICTURE, 0.0), to_rgba(PICTURE, 1.0)])
    top = max(MAP_DARK_SHARE * float(np.quantile(evidence.max(axis=1), 0.95)), 0.5)
    axes.imshow(
        evidence.T,
        origin="lower",
        aspect="auto",
        extent=(0.0, heard.duration_s, float(speeds[0]), float(speeds[-1])),
        cmap=ink,
        vmin=0.0,
        vmax=top,
        interpolation="nearest",
    )
    axes.text(
        0.995, 0.02, "stronger: explains the sound better", transform=axes.transAxes, ha="right", va="bottom",
        fontsize=SMALL_PT, color=colour("soft"), zorder=6,
    )  # fmt: skip


def _speed(axes: "Axes", heard: Listening) -> None:
    frames = heard.sound.frames
    claimed = heard.sound.claimed & heard.heard
    xs, ys = thinned(frames.time_s, np.where(claimed, frames.head_speed_rpm, np.nan))
    axes.plot(xs, ys, color=colour("blue"), linewidth=1.3, zorder=4)
    for speed in heard.set_speeds:
        axes.plot(
            (speed.start_s, speed.end_s), [speed.head_speed_rpm] * 2,
            color=colour("ink"), linewidth=1.0, linestyle=(0, (1, 1.5)), zorder=5,
        )  # fmt: skip
        axes.annotate(
            f"{speed.head_speed_rpm:.0f} rpm" + (f", {speed.mode}" if speed.mode else ""),
            xy=(0.5 * (speed.start_s + speed.end_s), speed.head_speed_rpm),
            xytext=(0, 7), textcoords="offset points", ha="center", fontsize=SMALL_PT, color=colour("ink"), zorder=6,
        )  # fmt: skip
    axes.set_ylim(0.0, float(heard.sound.speeds_rpm[-1]))


def _sure(axes: "Axes", heard: Listening) -> None:
    frames = heard.sound.frames
    axes.set_ylabel("confidence\n(%)")
    xs, ys = thinned(frames.time_s, 100.0 * frames.confidence)
    axes.plot(xs, ys, color=colour("teal"), linewidth=0.9)
    axes.axhline(100.0 * CLAIMED_FROM, color=colour("soft"), linestyle=(0, (5, 2.5)), linewidth=0.9)
    axes.text(
        0.995, 0.06, f"heard from {CLAIMED_FROM:.0%} up", transform=axes.transAxes, ha="right", va="bottom",
        fontsize=SMALL_PT, color=colour("soft"),
    )  # fmt: skip
    axes.set_ylim(0.0, 105.0)
