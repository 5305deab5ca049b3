"""A judged log over time as a drawing that can be zoomed: series thinned for the window that is looked at.

The drawing is told as data; whoever shows it needs nothing else. Colours are the page's own variables.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from steadyhead.judge.result import Judgement
from steadyhead.report.figures.thinning import MOST_POINTS, Series, thinned
from steadyhead.report.names import segment_name
from steadyhead.report.palette import SHADES
from steadyhead.words.verdict import Limit

Window = tuple[float, float]
Panel = tuple[str, str, tuple[tuple[str, str, str, float], ...]]
PANELS: tuple[Panel, ...] = (
    (
        "head speed (rpm)",
        "rpm",
        (("head_speed_rpm", "head speed", "blue", 1.0), ("motor_side_speed_rpm", "motor side", "plum", 1.0)),
    ),
    (
        "duty and channel (%)",
        "%",
        (("duty", "duty", "teal", 100.0), ("throttle_percent", "throttle channel", "soft", 1.0)),
    ),
    ("pack (A)", "A", (("pack_current_a", "pack current", "ochre", 1.0),)),
    ("pack (V)", "V", (("pack_voltage_v", "pack voltage", "blue", 1.0),)),
)
"""Title with unit, unit, and lines of each panel: channel, name, colour, factor."""
_TOP, _BOTTOM, _GAP = 11.0, 14.0, 7.0
"""Percent of the height above, below, and between panels."""
_FONT = 'system-ui, "Segoe UI", Roboto, "DejaVu Sans", sans-serif'
"""Named, not inherited: the chart measures its words before it sets them."""
_NEAR_ZERO, _FAR_FROM_ZERO = 0.05, 0.3
"""Shares of the greatest value: a panel begins at zero when its least value lies between the two."""


def zoomed_chart(judgement: Judgement, duty_max: Limit | None, window: Window | None = None) -> dict[str, Any]:
    """Return the chart of a judged log: its options, with each series thinned for `window`, seconds."""
    trace = judgement.trace
    panels = [panel for panel in PANELS if any(trace.has(channel) for channel, *_ in panel[2])]
    each = (100.0 - _TOP - _BOTTOM - _GAP * (len(panels) - 1)) / max(len(panels), 1)
    whole = (float(trace.time_s[0]), float(trace.time_s[-1])) if trace.time_s.size else (0.0, 1.0)
    return {
        "animation": False,
        "textStyle": {"fontFamily": _FONT, "color": "var(--ink)"},
        "aria": {"enabled": True, "label": {"description": f"{judgement.log} over time: {judgement.verdict.value}"}},
        "tooltip": {"trigger": "axis", "confine": True},
        "legend": {"top": 0, "itemGap": 18, "textStyle": {"color": "var(--ink)"}, "type": "scroll"},
        "axisPointer": {"link": [{"xAxisIndex": "all"}]},
        "grid": [
            {"left": 62, "right": 16, "top": f"{_TOP + n * (each + _GAP):.2f}%", "height": f"{each:.2f}%"}
            for n in range(len(panels))
        ],
        "xAxis": [_time_axis(n, whole, last=n == len(panels) - 1) for n in range(len(panels))],
        "yAxis": [_value_axis(n, panel[0], _begins_at_zero(judgement, panel)) for n, panel in enumerate(panels)],
        "dataZoom": [
            {"type": "inside", "xAxisIndex": "all", "zoomOnMouseWheel": "ctrl", "filterMode": "none"},
            {"type": "slider", "xAxisIndex": "all", "bottom": 6, "height": 24, "filterMode": "none"},
        ],
        "series": [one for n, panel in enumerate(panels) for one in _lines(judgement, n, panel, duty_max, window)],
    }


def window_series(judgement: Judgement, window: Window) -> list[list[list[float | None]]]:
    """Return the points of every line of the chart, in its order, thinned for `window`."""
    found = []
    for panel in PANELS:
        for channel, _, _, factor in panel[2]:
            values = judgement.trace.get(channel)
            if values is not None:
                found.append(_points(judgement.trace.time_s, factor * values, window))
    return found


def _points(time_s: Series, values: Series, window: Window | None) -> list[list[float | None]]:
    """Return points for the window at full fineness, and its surroundings coarsely so that it can be left again."""
    if window is None:
        xs, ys = thinned(time_s, values)
    else:
        low, high = np.searchsorted(time_s, window)
        before = thinned(time_s[:low], values[:low], MOST_POINTS // 8)
        inside = thinned(time_s[low:high], values[low:high])
        after = thinned(time_s[high:], values[high:], MOST_POINTS // 8)
        xs, ys = (np.concatenate(part) for part in zip(before, inside, after, strict=True))
    return [[round(float(x), 4), float(f"{y:.6g}") if np.isfinite(y) else None] for x, y in zip(xs, ys, strict=True)]


def _lines(
    judgement: Judgement,
    at: int,
    panel: Panel,
    duty_max: Limit | None,
    window: Window | None,
) -> list[Mapping[str, Any]]:
    lines: list[dict[str, Any]] = []
    for channel, name, shade, factor in panel[2]:
        values = judgement.trace.get(channel)
        if values is None:
            continue
        lines.append(
            {
                "type": "line",
                "name": name,
                "xAxisIndex": at,
                "yAxisIndex": at,
                "showSymbol": False,
                "lineStyle": {"width": 1.3, "color": f"var(--{shade})"},
                "itemStyle": {"color": f"var(--{shade})"},
                "data": _points(judgement.trace.time_s, factor * values, window),
            }
        )
    if lines:
        lines[0]["markArea"] = _stretches(judgement)
        lines[0]["markLine"] = _limits(judgement, panel[1], duty_max)
    return list(lines)


def _stretches(judgement: Judgement) -> dict[str, Any]:
    return {
        "silent": True,
        "label": {"show": False},
        "data": [
            [
                {
                    "name": segment_name(segment.kind),
                    "xAxis": segment.start_s,
                    "itemStyle": {"color": f"var(--{SHADES.get(segment.kind, 'shade-e')})", "opacity": 0.55},
                },
                {"xAxis": segment.end_s},
            ]
            for segment in judgement.segments
        ],
    }


def _limits(judgement: Judgement, unit: str, duty_max: Limit | None) -> dict[str, Any]:
    """Return the lines of limits and set speeds of a panel."""
    data: list[Any] = []
    if unit == "rpm":
        for segment in judgement.segments:
            if segment.kind == "governed" and segment.set_rpm:
                ends = [{"coord": [t, segment.set_rpm]} for t in (segment.start_s, segment.end_s)]
                data.append([{**ends[0], "name": f"set {segment.set_rpm:.0f} rpm"}, ends[1]])
    if unit == "%" and duty_max is not None:
        data.append({"yAxis": 100.0 * duty_max.value, "name": f"duty limit {100.0 * duty_max.value:.3g} %"})
    return {
        "silent": True,
        "symbol": "none",
        "lineStyle": {"color": "var(--fail)" if unit == "%" else "var(--ink)", "type": "dashed"},
        "label": {"formatter": "{b}", "position": "insideEndTop", "color": "var(--ink)"},
        "data": data,
    }


def _time_axis(at: int, whole: Window, *, last: bool) -> dict[str, Any]:
    return {
        "type": "value",
        "gridIndex": at,
        "min": whole[0],
        "max": whole[1],
        "name": "time (s)" if last else "",
        "nameLocation": "middle",
        "nameGap": 26,
        "axisLabel": {"show": last, "color": "var(--soft)", "showMaxLabel": False},
        "nameTextStyle": {"color": "var(--ink)"},
        "splitLine": {"show": False},
    }


def _begins_at_zero(judgement: Judgement, panel: Panel) -> bool:
    series = [
        factor * values for channel, _, _, factor in panel[2] if (values := judgement.trace.get(channel)) is not None
    ]
    known = np.concatenate([values[np.isfinite(values)] for values in series])
    if not known.size:
        return True
    least, most = float(known.min()), float(known.max())
    return -_NEAR_ZERO * most <= least <= _FAR_FROM_ZERO * most


def _value_axis(at: int, title: str, from_zero: bool) -> dict[str, Any]:
    return {
        **({"min": 0} if from_zero else {}),
        "type": "value",
        "gridIndex": at,
        "scale": True,
        "name": title,
        "nameLocation": "end",
        "nameGap": 12,
        "nameTextStyle": {"color": "var(--ink)", "align": "left", "padding": [0, 0, 0, -50]},
        "axisLabel": {"color": "var(--soft)"},
        "splitLine": {"lineStyle": {"color": "var(--rule)"}},
    }


def window_of(judgement: Judgement, told: Mapping[str, Any]) -> Window:
    """Return the window, seconds, that a chart says it shows: percent of the whole, alone or first in a batch."""
    batch = told.get("batch")
    said = batch[0] if isinstance(batch, list) and batch else told
    begin, end = float(said.get("start", 0.0)), float(said.get("end", 100.0))
    time_s = judgement.trace.time_s
    first, length = float(time_s[0]), judgement.trace.duration_s
    return first + length * begin / 100.0, first + length * end / 100.0
