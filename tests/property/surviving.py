"""What surviving a file means: a trace in order, or one sentence of ours; soon; nothing on the terminal."""

import time
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.machine.reading import read_machine
from steadyhead.trace import text_file
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.sound_file import opened
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import SteadyheadError
from tests.property.file_cases import Case
from tests.property.test_judge_any_trace import MACHINE

LIMIT_S = 20.0  # processor time; a hang, not a speed: the first file may wait for the quick reader to be compiled
SAID = {"column 1": "time_s:50 Hz", "column 2": "head_speed_rpm:rpm"}
JUDGED_ONE_IN = 8


def survive(path: Path, case: Case, seed: int, monkeypatch: pytest.MonkeyPatch) -> str:
    """Read the file of a case as its reader would, and return how it ended: "read" or "refused"."""
    path.write_bytes(case.data)
    start = time.process_time()
    try:
        if case.reader == "log":
            monkeypatch.setattr(text_file, "_QUICK_FROM", 0 if seed % 2 else 1 << 40)
            _trace_holds(path, SAID if seed % 5 == 0 else None, judged=seed % JUDGED_ONE_IN == 0)
        elif case.reader == "sound":
            with opened(path) as recording:
                assert all(np.isfinite(block).all() for block in recording.blocks(1.0))
        else:
            read_machine(path)
    except SteadyheadError as error:
        said = str(error)
        assert "\n" not in said.strip()
        assert len(said) < 1500
        return "refused"
    finally:
        assert time.process_time() - start < LIMIT_S
    return "read"


def _trace_holds(path: Path, mapping: Mapping[str, str] | None, *, judged: bool) -> None:
    trace = read_trace(path, gearing=Gearing(9.0, 5.0, 12.0), mapping=mapping, remember=False)
    in_order(trace)
    if judged:
        with np.errstate(all="ignore"):
            judge(MACHINE, trace)


def in_order(trace: Trace) -> None:
    """Check what holds of every trace, whatever the file was."""
    assert trace.time_s[0] == 0.0
    assert np.all(np.diff(trace.time_s) > 0)
    assert trace.row.shape == trace.time_s.shape
    assert trace.rows_read >= trace.time_s.size
    for values in trace.channels.values():
        assert values.shape == trace.time_s.shape
        assert not np.isinf(values).any()
