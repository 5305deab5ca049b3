"""The same run reads the same, however its log was written."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyhead.trace import text_file
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from tests.property.trace_layouts import (
    CELLS,
    CHANNEL_OF,
    HEADINGS,
    POLE_PAIRS,
    RATIO,
    ROWS,
    SPEEDS,
    UNIT_STYLES,
    Layout,
    file_bytes,
    run,
)

OTHERS = [key for key in HEADINGS if key not in ("time", *SPEEDS)]


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    keys = [draw(st.sampled_from(SPEEDS)), *draw(st.lists(st.sampled_from(OTHERS), unique=True, min_size=2))]
    columns = [(key, *draw(st.sampled_from(HEADINGS[key]))) for key in ("time", *draw(st.permutations(keys)))]
    delimiter = draw(st.sampled_from([",", ";", "\t", "|"]))
    return Layout(
        columns=tuple(columns),
        unit_style=draw(st.sampled_from(UNIT_STYLES)),
        delimiter=delimiter,
        decimal_comma=delimiter != "," and draw(st.booleans()),
        encoding=draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])),
        line_end=draw(st.sampled_from(["\n", "\r\n", "\r"])),
        last_line_ends=draw(st.booleans()),
        remarks=draw(st.integers(0, 5)),
        quoted=draw(st.booleans()),
        packed=draw(st.booleans()),
    )


@pytest.mark.parametrize("quick", [False, True])
@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(layout=layouts())
def test_one_run_reads_the_same_in_every_layout(
    quick: bool, layout: Layout, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(text_file, "_QUICK_FROM", 0 if quick else 1 << 40)
    path = tmp_path / "log"
    path.write_bytes(file_bytes(layout))
    trace = read_trace(path, gearing=Gearing(RATIO, POLE_PAIRS, CELLS))
    happened = run()
    assert trace.rows_read == ROWS
    assert trace.warnings == ()
    assert trace.time_s == pytest.approx(happened["time"], abs=2e-3)
    for key, name, unit in layout.columns[1:]:
        wanted = happened["head" if key in SPEEDS else key]
        values = trace.get(CHANNEL_OF[key])
        assert values is not None, f"{name} ({unit}) should be {CHANNEL_OF[key]}: {trace.history}"
        assert np.max(np.abs(values - wanted)) <= 1e-3 * np.max(np.abs(wanted)) + 0.6 * (key in SPEEDS)
