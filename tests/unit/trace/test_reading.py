"""Every invented log is read whole: rows, warnings, meanings, figures, against what its generator wrote down."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from steadyhead.trace import text_file
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import CHANNELS

LOGS = Path(__file__).parents[2] / "data" / "logs"
NAMES = sorted(path.name.removesuffix(".truth.json") for path in LOGS.glob("*.truth.json"))
CHANNEL_OF = {
    "head speed": "head_speed_rpm",
    "motor speed": "motor_side_speed_rpm",
    "motor-side speed": "motor_side_speed_rpm",
    "throttle channel": "throttle_percent",
    "controller duty": "duty",
    "pack voltage": "pack_voltage_v",
    "lowest cell voltage": "lowest_cell_v",
    "pack current": "pack_current_a",
    "charge used": "charge_used_mah",
    "controller temperature": "controller_temperature_c",
    "motor temperature": "motor_temperature_c",
    "pack temperature": "pack_temperature_c",
    "height above start": "height_m",
    "vertical speed": "climb_speed_m_s",
    "radio signal quality": "link_percent",
}
TO_TRACE_UNIT = {
    "0..1": lambda x, given: x * 100.0,
    "us": lambda x, given: (x - 1080.0) / 8.4,
    "V per cell": lambda x, given: x * given["cells_in_series"],
    "degF": lambda x, given: (x - 32.0) / 1.8,
    "rpm of the motor": lambda x, given: x / given["gear_ratio"],
    "electrical rpm": lambda x, given: x / given["gear_ratio"] / given["pole_pairs"],
}


def truth_of(name: str) -> dict[str, Any]:
    return json.loads((LOGS / f"{name}.truth.json").read_text("utf-8"))


def gearing_of(truth: dict[str, Any]) -> Gearing:
    given = truth["machine_given"]
    return Gearing(given["gear_ratio"], given["pole_pairs"], given["cells_in_series"])


@pytest.mark.parametrize("name", NAMES)
def test_every_row_of_a_log_is_read(name: str) -> None:
    truth = truth_of(name)
    trace = read_trace(LOGS / name, gearing=gearing_of(truth))
    assert trace.rows_read == truth["file"]["rows"]
    assert trace.time_s[0] == 0.0
    assert np.all(np.diff(trace.time_s) > 0)
    assert trace.duration_s == pytest.approx(truth["file"]["last_row_time_s"], abs=0.06)


@pytest.mark.parametrize("name", NAMES)
def test_a_log_is_warned_of_as_its_maker_expects_and_no_more(name: str) -> None:
    truth = truth_of(name)
    trace = read_trace(LOGS / name, gearing=gearing_of(truth))
    assert set(trace.warnings) == set(truth["file"]["expected_warnings"])


@pytest.mark.parametrize("name", NAMES)
def test_every_column_gets_its_meaning_and_unit(name: str) -> None:
    truth = truth_of(name)
    trace = read_trace(LOGS / name, gearing=gearing_of(truth))
    for column in truth["file"]["columns"]:
        channel = CHANNEL_OF.get(column["meaning"])
        if column["meaning"] == "collective":
            channel = "collective_deg" if column["unit"] == "degrees" else "collective_percent"
        values = trace.get(str(channel))
        assert values is not None, f"{name}: {column['header']} should be {channel}; got {sorted(trace.channels)}"
        to_unit = TO_TRACE_UNIT.get(column["unit"], lambda x, given: x)
        scale = 0.01 if channel == "duty" else 1.0
        for said, figure in (("min", np.nanmin(values)), ("max", np.nanmax(values)), ("mean", np.nanmean(values))):
            written = column[f"{said}_written_without_glitches"]
            wanted = to_unit(written, truth["machine_given"]) * scale
            share = 0.002 if said == "mean" else 1e-6
            assert figure == pytest.approx(wanted, rel=share, abs=1e-6), f"{name}: {said} of {column['header']}"


@pytest.mark.parametrize("name", NAMES)
def test_the_quick_way_and_the_sure_way_read_the_same(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    gearing = gearing_of(truth_of(name))
    sure = read_trace(LOGS / name, gearing=gearing)
    monkeypatch.setattr(text_file, "_QUICK_FROM", 0)
    quick = read_trace(LOGS / name, gearing=gearing)
    assert quick.warnings == sure.warnings
    assert quick.history == sure.history
    assert np.array_equal(quick.time_s, sure.time_s)
    for channel, values in sure.channels.items():
        assert np.array_equal(quick.channels[channel], values, equal_nan=True), channel


def test_planted_faults_are_set_aside_and_nothing_else() -> None:
    truth = truth_of("overspeed_glitches.csv")
    trace = read_trace(LOGS / "overspeed_glitches.csv", gearing=gearing_of(truth))
    planted = {glitch["row"] for glitch in truth["file"]["glitches"] if glitch["column"] == "head speed (rpm)"}
    speed = trace.channels["head_speed_rpm"]
    gone = set(trace.row[np.isnan(speed)].tolist())
    assert planted <= gone
    assert len(gone - planted) == truth["file"]["missing_cells"]["head speed (rpm)"]


def test_a_sample_can_be_followed_back_to_its_row() -> None:
    truth = truth_of("overspeed_glitches.csv")
    trace = read_trace(LOGS / "overspeed_glitches.csv", gearing=gearing_of(truth))
    assert not set(truth["file"]["repeated_rows"]) & set(trace.row.tolist())
    lines = (LOGS / "overspeed_glitches.csv").read_text("utf-8").splitlines()
    at = 5000
    cells = lines[1 + int(trace.row[at])].split(";")
    assert float(cells[2]) == trace.channels["throttle_percent"][at]


def test_every_channel_name_is_one_the_judge_knows() -> None:
    for name in NAMES:
        trace = read_trace(LOGS / name, gearing=gearing_of(truth_of(name)))
        assert set(trace.channels) <= set(CHANNELS)


def test_the_history_says_how_each_column_was_read() -> None:
    truth = truth_of("hunting_hover.csv")
    trace = read_trace(LOGS / "hunting_hover.csv", gearing=gearing_of(truth))
    said = "\n".join(trace.history)
    assert "electrical speed, divided by 30.25" in said
    assert "1080 µs is 0 % and 1920 µs is 100 %" in said


def test_each_channel_says_how_sure_its_column_is(tmp_path: Path) -> None:
    rows = [f"{0.05 * k:.2f},{2000 + k % 3},{48.0 - 0.01 * k:.2f},{20 + k % 5},{4 + k % 2}" for k in range(200)]
    path = tmp_path / "log.csv"
    path.write_text("time (s),head speed (rpm),U (V),x,pitch\n" + "\n".join(rows) + "\n", "utf-8")
    told = read_trace(path, mapping={"x": "pack_current_a:A"}, remember=False)
    sure = {column.channel: (column.heading, column.confidence) for column in told.columns}
    assert sure == {
        "head_speed_rpm": ("head speed (rpm)", "named"),
        "pack_voltage_v": ("U (V)", "likely"),
        "pack_current_a": ("x", "said by you"),
        "collective_deg": ("pitch", "doubtful"),
    }
