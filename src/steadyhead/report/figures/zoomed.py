"""A judged log over time as a drawing that can be zoomed: series thinned for the window that is looked at.

The drawing is told as data; whoever shows it needs nothing else. Colours are the page's own variables, read in the
browser: a canvas is drawn several times as quickly as an SVG, and cannot read them by itself.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.report.figures.thinning import Series, thinned
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
MOST_DRAWN = 1200
"""Points of a line in the window: a pair for each two pixels of a desk's width; more would not be seen."""
_TOP, _BOTTOM, _GAP = 10.0, 15.0, 7.0
"""Percent of the height above, below, and between panels."""
_FONT = 'system-ui, "Segoe UI", Roboto, "DejaVu Sans", sans-serif'
"""Named, not inherited: the chart measures its words before it sets them."""
_NEAR_ZERO, _FAR_FROM_ZERO = 0.05, 0.3
"""Shares of the greatest value: a panel begins at zero when its least value lies between the two."""
_TICKS = 3
"""Steps that an axis aims at: a panel is 4 to 6 lines of figures high, and more would touch each other."""
_FULL_PERCENT = 100.0
"""The panel of duty always reaches up to full duty, so that its limit is always seen."""
_FULL, _PERCENT_STEP = {"min": 0.0, "max": _FULL_PERCENT}, 25.0
_VOLTS = 5.0
"""Where a limit of the pack's voltage is stated, its panel begins on a multiple of this below the limit."""


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """Limits that are drawn into the chart; None where nobody states one."""

    duty_max: Limit | None = None
    pack_voltage_min_v: float | None = None


def drawn_limits(machine: Machine) -> Drawn:
    """Return the limits of duty and of the pack's voltage, all cells in series, that a machine states."""
    cell = machine.limit("pack.cell_voltage_min")
    return Drawn(
        duty_max=machine.limit("limits.duty_max"),
        pack_voltage_min_v=cell.value * machine.cells if cell else None,
    )


def has_lines(judgement: Judgement) -> bool:
    """Return whether a log has anything that the chart could draw."""
    return any(judgement.trace.has(channel) for _, _, lines in PANELS for channel, *_ in lines)


def zoomed_chart(judgement: Judgement, limits: Drawn, window: Window | None = None) -> dict[str, Any]:
    """Return the chart of a judged log: its options, with each series thinned for `window`, seconds."""
    trace = judgement.trace
    panels = [panel for panel in PANELS if any(trace.has(channel) for channel, *_ in panel[2])]
    each = (100.0 - _TOP - _BOTTOM - _GAP * (len(panels) - 1)) / max(len(panels), 1)
    whole = (float(trace.time_s[0]), float(trace.time_s[-1])) if trace.time_s.size else (0.0, 1.0)
    lines = [one for n, panel in enumerate(panels) for one in _lines(judgement, n, panel, limits, window)]
    stretches = [one for n in range(len(panels)) for one in _stretches(judgement, n, len(panels))]
    return {
        "animation": False,
        "textStyle": {"fontFamily": _FONT, **_ink("ink")},
        "tooltip": {"trigger": "axis", "confine": True},
        "legend": {
            **{"top": 0, "itemGap": 18, "textStyle": _ink("ink"), "type": "scroll"},
            **{"pageIconSize": 22, "pageTextStyle": _ink("ink"), ":pageIconColor": _read("blue")},
            ":pageIconInactiveColor": _read("rule"),
            "data": [
                *(one["name"] for one in lines),
                *({"name": name, "icon": "rect"} for name in dict.fromkeys(one["name"] for one in stretches)),
            ],
        },
        "axisPointer": {
            "link": [{"xAxisIndex": "all"}],
            "label": {":formatter": "(at) => `${Number(at.value).toFixed(2)} s`"},
        },
        "grid": [
            {"left": 62, "right": 16, "top": f"{_TOP + n * (each + _GAP):.2f}%", "height": f"{each:.2f}%"}
            for n in range(len(panels))
        ],
        "xAxis": [_time_axis(n, whole, last=n == len(panels) - 1) for n in range(len(panels))],
        "yAxis": [
            *(_value_axis(n, panel[0], _reach(judgement, panel, limits)) for n, panel in enumerate(panels)),
            *({"type": "value", "gridIndex": n, "min": 0, "max": 1, "show": False} for n in range(len(panels))),
        ],
        "dataZoom": [
            {
                **{"type": "inside", "xAxisIndex": "all", "zoomOnMouseWheel": "ctrl", "filterMode": "none"},
                "preventDefaultMouseMove": False,  # else a thumb on the chart could not scroll the page
            },
            {
                **{"type": "slider", "xAxisIndex": "all", "bottom": 6, "height": 34, "filterMode": "none"},
                **{"showDataShadow": False, ":borderColor": _read("rule"), "textStyle": _ink("ink")},
            },
        ],
        "series": [*lines, *stretches],
    }


def window_series(judgement: Judgement, window: Window) -> dict[str, list[list[float | None]]]:
    """Return the points of every measured line of the chart by its name, thinned for `window`."""
    found = {}
    for panel in PANELS:
        for channel, name, _, factor in panel[2]:
            values = judgement.trace.get(channel)
            if values is not None:
                found[name] = _points(judgement.trace.time_s, factor * values, window)
    return found


def _points(time_s: Series, values: Series, window: Window | None) -> list[list[float | None]]:
    """Return points for the window at full fineness, and its surroundings coarsely so that it can be left again."""
    if window is None:
        xs, ys = thinned(time_s, values, MOST_DRAWN)
    else:
        low, high = np.searchsorted(time_s, window)
        before = thinned(time_s[:low], values[:low], MOST_DRAWN // 8)
        inside = thinned(time_s[low:high], values[low:high], MOST_DRAWN)
        after = thinned(time_s[high:], values[high:], MOST_DRAWN // 8)
        xs, ys = (np.concatenate(part) for part in zip(before, inside, after, strict=True))
    return [[round(float(x), 4), float(f"{y:.6g}") if np.isfinite(y) else None] for x, y in zip(xs, ys, strict=True)]


def _lines(
    judgement: Judgement,
    at: int,
    panel: Panel,
    limits: Drawn,
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
                "lineStyle": {"width": 1.3, **_ink(shade)},
                "itemStyle": _ink(shade),
                "tooltip": _with_unit(panel[1]),
                "data": _points(judgement.trace.time_s, factor * values, window),
            }
        )
    if panel[1] == "rpm" and (data := _set_speeds(judgement)):
        lines.append(
            {
                **{"type": "line", "name": "set speed", "xAxisIndex": at, "yAxisIndex": at, "showSymbol": False},
                "lineStyle": {"width": 1.3, "type": "dashed", **_ink("ink")},
                "itemStyle": _ink("ink"),
                "tooltip": _with_unit(panel[1]),
                "data": data,
            }
        )
    limit = _limit_of(panel, limits)
    if lines and limit is not None:
        lines[0]["markLine"] = _limit_line(*limit)
    return list(lines)


def _limit_of(panel: Panel, limits: Drawn) -> tuple[float, str] | None:
    """Return the limit that is drawn into a panel, in the panel's unit, and what it is called."""
    if panel[1] == "%" and limits.duty_max is not None:
        return _FULL_PERCENT * limits.duty_max.value, f"duty limit {_FULL_PERCENT * limits.duty_max.value:.3g} %"
    if panel[1] == "V" and limits.pack_voltage_min_v is not None:
        return limits.pack_voltage_min_v, f"least under load {limits.pack_voltage_min_v:.3g} V"
    return None


def _set_speeds(judgement: Judgement) -> list[list[float | None]]:
    """Return the set speed of each governed stretch, with a gap after each."""
    data: list[list[float | None]] = []
    for segment in judgement.segments:
        if segment.kind == "governed" and segment.set_rpm:
            data += [[segment.start_s, segment.set_rpm], [segment.end_s, segment.set_rpm], [segment.end_s, None]]
    return data


def _stretches(judgement: Judgement, at: int, panels: int) -> list[dict[str, Any]]:
    """Return the stretches behind a panel: one line with its area for each shade, so that many cost little.

    They stand in the panel's own grid, on its second axis: in a grid of their own they would catch wheel and hand.
    """
    kinds: dict[str, list[str]] = {}
    data: dict[str, list[list[float | None]]] = {}
    for segment in judgement.segments:
        shade = SHADES.get(segment.kind, "shade-e")
        if segment.kind not in kinds.setdefault(shade, []):
            kinds[shade].append(segment.kind)
        data.setdefault(shade, []).extend([[segment.start_s, 1.0], [segment.end_s, 1.0], [segment.end_s, None]])
    return [
        {
            **{"type": "line", "name": ", ".join(segment_name(kind) for kind in kinds[shade])},
            **{"xAxisIndex": at, "yAxisIndex": panels + at, "z": 0, "showSymbol": False, "silent": True},
            "lineStyle": {"width": 0},
            "areaStyle": {"opacity": 0.55, **_ink(shade)},
            "itemStyle": _ink(shade),
            "tooltip": {"show": False},
            "data": data[shade],
        }
        for shade in kinds
    ]


def _limit_line(value: float, name: str) -> dict[str, Any]:
    return {
        "silent": True,
        "symbol": "none",
        "lineStyle": {"type": "dashed", **_ink("fail")},
        "label": {"formatter": "{b}", "position": "insideEndBottom", **_ink("ink")},
        "data": [{"yAxis": value, "name": name}],
    }


def _ink(shade: str) -> dict[str, str]:
    """Return a colour of the page, read in the browser when the chart is drawn."""
    return {":color": _read(shade)}


def _read(shade: str) -> str:
    return f"getComputedStyle(document.body).getPropertyValue('--{shade}').trim()"


def _with_unit(unit: str) -> dict[str, str]:
    """Return how a value is said under the pointer: four digits and its unit."""
    return {":valueFormatter": f"(y) => y == null ? '–' : `${{Number(Number(y).toPrecision(4))}} {unit}`"}


def _time_axis(at: int, whole: Window, *, last: bool) -> dict[str, Any]:
    return {
        "type": "value",
        "gridIndex": at,
        "min": whole[0],
        "max": whole[1],
        "name": "time (s)" if last else "",
        "nameLocation": "middle",
        "nameGap": 26,
        "axisLabel": {"show": last, "showMaxLabel": False, **_ink("soft")},
        "nameTextStyle": _ink("ink"),
        "splitLine": {"show": False},
    }


def _reach(judgement: Judgement, panel: Panel, limits: Drawn) -> dict[str, float]:
    """Return where the axis of a panel must begin and end; what is left out the chart chooses by itself."""
    series = [
        factor * values for channel, _, _, factor in panel[2] if (values := judgement.trace.get(channel)) is not None
    ]
    known = np.concatenate([values[np.isfinite(values)] for values in series])
    least, most = (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)
    if panel[1] == "%":
        ends = {"min": min(0.0, least), "max": max(_FULL_PERCENT, most)}
        return ends if ends != _FULL else {**ends, "interval": _PERCENT_STEP}
    limit = _limit_of(panel, limits)
    if limit is not None:
        return {"min": max(0.0, math.floor(min(least, limit[0] - 1.0) / _VOLTS) * _VOLTS)}
    return {"min": 0.0} if -_NEAR_ZERO * most <= least <= _FAR_FROM_ZERO * most else {}


def _value_axis(at: int, title: str, reach: Mapping[str, float]) -> dict[str, Any]:
    return {
        **reach,
        "type": "value",
        "gridIndex": at,
        "scale": True,
        "splitNumber": _TICKS,
        "name": title,
        "nameLocation": "end",
        "nameGap": 12,
        "nameTextStyle": {"align": "left", "padding": [0, 0, 0, -50], **_ink("ink")},
        "axisLabel": {"hideOverlap": True, ":formatter": "(y) => String(Number(y.toPrecision(6)))", **_ink("soft")},
        "splitLine": {"lineStyle": _ink("rule")},
    }


def window_of(judgement: Judgement, told: Mapping[str, Any]) -> Window:
    """Return the window, seconds, that a chart says it shows: percent of the whole, alone or first in a batch."""
    batch = told.get("batch")
    said = batch[0] if isinstance(batch, list) and batch else told
    begin, end = float(said.get("start", 0.0)), float(said.get("end", 100.0))
    time_s = judgement.trace.time_s
    first, length = float(time_s[0]), judgement.trace.duration_s
    return first + length * begin / 100.0, first + length * end / 100.0
