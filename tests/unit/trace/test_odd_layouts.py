"""Rows of rules, kinds and devices about the headings; rows that lack a cell; lines that name their values."""

import json
from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError
from tests.unit.trace.flights import HEAD_RPM, PLAIN, ROWS, VOLTAGE_V

NAMES = tuple(PLAIN)
CELLS = [[f"{PLAIN[name][k]:.3f}" for name in NAMES] for k in range(ROWS)]


def written(tmp_path: Path, *lines: str) -> Path:
    path = tmp_path / "log.txt"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def read_whole(path: Path) -> None:
    trace = read_trace(path, remember=False)
    assert trace.rows_read == ROWS
    assert trace.channels["head_speed_rpm"] == pytest.approx(HEAD_RPM, abs=1e-3)
    assert trace.channels["pack_voltage_v"] == pytest.approx(VOLTAGE_V, abs=1e-3)


def test_a_table_drawn_with_bars_and_a_rule(tmp_path: Path) -> None:
    rule = "|" + "|".join(["---"] * len(NAMES)) + "|"
    rows = ["| " + " | ".join(row) + " |" for row in CELLS]
    read_whole(written(tmp_path, "| " + " | ".join(NAMES) + " |", rule, *rows))


def test_a_rule_below_plain_headings(tmp_path: Path) -> None:
    rule = ";".join(["======"] * len(NAMES))
    read_whole(written(tmp_path, ";".join(NAMES), rule, *(";".join(row) for row in CELLS)))


def test_a_row_of_kinds_below_names_and_units(tmp_path: Path) -> None:
    names = [name.split(" (")[0] for name in NAMES]
    units = [name.split(" (")[1].rstrip(")") for name in NAMES]
    kinds = ["float", "int", *["float"] * (len(NAMES) - 2)]
    head = [";".join(line) for line in (names, units, kinds)]
    read_whole(written(tmp_path, *head, *(";".join(row) for row in CELLS)))


def test_names_of_devices_above_tell_equal_headings_apart(tmp_path: Path) -> None:
    above = "Time;Rotor;Motor;Controller"
    rows = [f"{0.1 * k:.1f};{HEAD_RPM[k]:.1f};{50 + 0.01 * k:.2f};{30 + 0.01 * k:.2f}" for k in range(ROWS)]
    trace = read_trace(written(tmp_path, above, ";speed;temperature;temperature", "s;rpm;°C;°C", *rows), remember=False)
    assert trace.channels["motor_temperature_c"][0] == 50.0
    assert trace.channels["controller_temperature_c"][0] == 30.0


def test_a_first_row_that_lacks_its_last_cell_is_filled_up(tmp_path: Path) -> None:
    rows = [";".join(row[:-1] if k % 50 == 0 else row) for k, row in enumerate(CELLS)]
    path = written(tmp_path, ";".join(NAMES), *rows)
    read_whole(path)
    charge = read_trace(path, remember=False).channels["charge_used_mah"]
    assert np.isnan(charge[::50]).all()
    assert int(np.isnan(charge).sum()) == ROWS // 50


def test_objects_line_by_line(tmp_path: Path) -> None:
    read_whole(written(tmp_path, *(json.dumps(dict(zip(NAMES, map(float, row), strict=True))) for row in CELLS)))


def test_pairs_of_name_and_value_line_by_line(tmp_path: Path) -> None:
    names = ["time_s", "head_speed_rpm", "throttle_pct", "duty_pct", "pack_voltage_V", "current_A", "used_mAh"]
    lines = [";".join(f"{name}={cell}" for name, cell in zip(names, row, strict=True)) for row in CELLS]
    read_whole(written(tmp_path, *lines))


def test_a_table_that_cannot_be_taken_apart_says_so_in_plain_words(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read_trace(written(tmp_path, "time (s);rpm", "0.0;1;2;3", "0.1;1;2;3"), remember=False)
    assert "schema" not in str(caught.value)
