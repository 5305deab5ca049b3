"""Text tables as loggers and spreadsheets write them: marks, groups, quotes, remarks, unit rows."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace

N = 60
T = [k * 0.05 for k in range(N)]
RPM = [1000 + 20 * k for k in range(N)]
VOLT = [50.0 - 0.01 * k for k in range(N)]


def read(tmp_path: Path, text: str, encoding: str = "utf-8") -> Trace:
    path = tmp_path / "log.txt"
    path.write_bytes(text.encode(encoding))
    return read_trace(path)


def as_written(trace: Trace) -> None:
    assert trace.rows_read == N
    assert trace.time_s == pytest.approx(np.array(T), abs=1e-9)
    assert trace.channels["head_speed_rpm"] == pytest.approx(np.array(RPM, float))
    assert trace.channels["pack_voltage_v"] == pytest.approx(np.array(VOLT))


def rows(pattern: str, decimal: str = ".") -> str:
    lines = (pattern.format(t=t, rpm=rpm, v=v) for t, rpm, v in zip(T, RPM, VOLT, strict=True))
    return "\n".join(line.replace("@", decimal) for line in lines) + "\n"


def comma(pattern: str) -> str:
    lines = []
    for t, rpm, v in zip(T, RPM, VOLT, strict=True):
        lines.append(pattern.format(t=f"{t:.2f}".replace(".", ","), rpm=rpm, v=f"{v:.2f}".replace(".", ",")))
    return "\n".join(lines) + "\n"


HEAD = "time (s){d}head speed (rpm){d}voltage (V)\n"
PLAIN = rows("{t:.2f},{rpm},{v:.2f}")


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", ", ", " ; "])
def test_any_delimiter_is_found(delimiter: str, tmp_path: Path) -> None:
    body = rows(f"{{t:.2f}}{delimiter}{{rpm}}{delimiter}{{v:.2f}}")
    as_written(read(tmp_path, HEAD.format(d=delimiter) + body))


def test_columns_set_in_spaces_are_read(tmp_path: Path) -> None:
    as_written(read(tmp_path, "time_s  head_speed_rpm   voltage_V\n" + rows("  {t:<8.2f} {rpm:>8}     {v:.2f}  ")))


def test_a_space_inside_one_cell_of_each_row_parts_nothing(tmp_path: Path) -> None:
    """Whole numbers, an empty column and a place: by spaces alone such rows look like two numbers."""
    lines = [f"{50 * k},{rpm},{v:.2f},0.3,,7.9,48.1N 11.5E" for k, (rpm, v) in enumerate(zip(RPM, VOLT, strict=True))]
    as_written(read(tmp_path, "time [ms],head speed,voltage,current,,servo,GPS\n" + "\n".join(lines) + "\n"))


def test_a_decimal_comma_in_columns_set_in_spaces_is_read(tmp_path: Path) -> None:
    as_written(read(tmp_path, HEAD.format(d="  ").replace(" (", "_(").replace("d s", "d_s") + comma("{t} {rpm}  {v}")))


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
def test_a_decimal_comma_is_found(delimiter: str, tmp_path: Path) -> None:
    as_written(read(tmp_path, HEAD.format(d=delimiter) + comma(f"{{t}}{delimiter}{{rpm}}{delimiter}{{v}}")))


def test_a_quoted_decimal_comma_in_a_file_parted_by_commas_is_read(tmp_path: Path) -> None:
    as_written(read(tmp_path, HEAD.format(d=",") + comma('"{t}",{rpm},"{v}"')))


@pytest.mark.parametrize("group", ["1,{:03d}", "1'{:03d}", "1 {:03d}", "1\u202f{:03d}"])
def test_grouped_thousands_are_one_number(group: str, tmp_path: Path) -> None:
    lines = []
    for t, rpm, v in zip(T, RPM, VOLT, strict=True):
        grouped = group.format(rpm - 1000) if rpm < 2000 else group.replace("1", "2", 1).format(rpm - 2000)
        lines.append(f"{t:.2f};{grouped};{v:.2f}\n")
    as_written(read(tmp_path, HEAD.format(d=";") + "".join(lines)))


@pytest.mark.parametrize("mark", [",", "."])
def test_thousands_in_a_file_without_any_decimals_are_no_decimals(mark: str, tmp_path: Path) -> None:
    """The current goes from 199 to 7,869: whoever wrote decimals would write 199,000."""
    current = [199 + 130 * k for k in range(N)]
    lines = [
        f"12:00:{k // 20:02d}.{k % 20 * 5:02d}0;" + f"{rpm:,};{1000 * v:,.0f};{a:,}".replace(",", mark)
        for k, (rpm, v, a) in enumerate(zip(RPM, VOLT, current, strict=True))
    ]
    trace = read(tmp_path, "time;head speed (rpm);voltage (mV);current (mA)\n" + "\n".join(lines) + "\n")
    assert trace.channels["head_speed_rpm"] == pytest.approx(np.array(RPM, float))
    assert trace.channels["pack_voltage_v"] == pytest.approx(np.array(VOLT))
    assert trace.channels["pack_current_a"] == pytest.approx(np.array(current) / 1000.0)


def test_three_decimals_that_stay_three_are_decimals(tmp_path: Path) -> None:
    lines = [f"{t:.3f};{rpm};{v:.3f}".replace(".", ",") for t, rpm, v in zip(T, RPM, VOLT, strict=True)]
    as_written(read(tmp_path, HEAD.format(d=";") + "\n".join(lines) + "\n"))


def test_grouped_thousands_with_points_beside_decimal_commas(tmp_path: Path) -> None:
    lines = []
    for t, rpm, v in zip(T, RPM, VOLT, strict=True):
        lines.append(f"{t:.2f};{rpm // 1000}X{rpm % 1000:03d};{v:.2f}\n".replace(".", ",").replace("X", "."))
    as_written(read(tmp_path, HEAD.format(d=";") + "".join(lines)))


def test_units_behind_every_number_are_taken_off(tmp_path: Path) -> None:
    as_written(read(tmp_path, "time;head speed;voltage\n" + rows("{t:.2f}s;{rpm} rpm;{v:.2f} V")))


@pytest.mark.parametrize("units", ["s,rpm,V", "[s],[rpm],[V]", "(s),(rpm),(V)", "s,1/min,V"])
def test_units_may_stand_in_a_row_of_their_own(units: str, tmp_path: Path) -> None:
    as_written(read(tmp_path, "time,head speed,voltage\n" + units + "\n" + PLAIN))


@pytest.mark.parametrize(
    "above",
    [
        "# invented\n# 20 rows a second, no real machine\n",
        "Logger of nobody\nfirmware: none\n\n",
        "sep=,\n",
        "// one; two; three\n",
        "\n\n",
        '"a remark, with a comma"\n',
    ],
)
def test_remarks_above_the_headings_are_stepped_over(above: str, tmp_path: Path) -> None:
    as_written(read(tmp_path, above + HEAD.format(d=",") + PLAIN))


def test_headings_behind_a_remark_mark_are_headings(tmp_path: Path) -> None:
    as_written(read(tmp_path, "# " + HEAD.format(d=",") + PLAIN))


@pytest.mark.parametrize("heading_too", [True, False])
def test_a_delimiter_at_the_end_of_each_row_parts_nothing(heading_too: bool, tmp_path: Path) -> None:
    head = HEAD.format(d=",").replace("\n", ",\n") if heading_too else HEAD.format(d=",")
    as_written(read(tmp_path, head + PLAIN.replace("\n", ",\n")))


def test_a_last_column_of_seldom_remarks_is_no_trailing_delimiter(tmp_path: Path) -> None:
    body = PLAIN.replace("\n", ",\n").replace("\n2.00,", "\n2.00,", 1)
    trace = read(tmp_path, HEAD.format(d=",").replace("\n", ",remark\n") + body)
    as_written(trace)
    assert any(step.startswith("remark") for step in trace.history)


def test_text_with_a_delimiter_in_quotes_stays_one_cell(tmp_path: Path) -> None:
    body = PLAIN.replace("\n", ',"mode 1, normal"\n')
    as_written(read(tmp_path, HEAD.format(d=",").replace("\n", ",mode\n") + body))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"])
def test_any_encoding_is_found(encoding: str, tmp_path: Path) -> None:
    head = "Zeit [s];Rotordrehzahl [1/min];Akkuspannung [V];Höhe [m];Temperatur Regler [°C]\n"
    trace = read(tmp_path, head + rows("{t:.2f};{rpm};{v:.2f};1.0;20"), encoding)
    as_written(trace)
    assert {"height_m", "controller_temperature_c"} <= set(trace.channels)


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_any_line_end_is_found(line_end: str, tmp_path: Path) -> None:
    as_written(read(tmp_path, (HEAD.format(d=",") + PLAIN).replace("\n", line_end)))


@pytest.mark.parametrize("sign", ["", "--", "-", "n/a", "NaN", "nan", "null", "NA", "?", "#N/A"])
def test_any_sign_for_a_missing_value_counts_as_empty(sign: str, tmp_path: Path) -> None:
    body = PLAIN.replace("0.50,1200,", f"0.50,{sign},")
    trace = read(tmp_path, HEAD.format(d=",") + body)
    assert trace.rows_read == N
    assert np.flatnonzero(np.isnan(trace.channels["head_speed_rpm"])).tolist() == [10]
    if sign.casefold() != "nan":
        assert trace.warnings == ("1 empty cells in head speed (rpm)",)


def test_a_blank_line_is_no_row(tmp_path: Path) -> None:
    as_written(read(tmp_path, HEAD.format(d=",") + PLAIN.replace("\n1.00,", "\n\n1.00,") + "\n\n"))


def test_a_word_in_a_column_of_numbers_is_counted(tmp_path: Path) -> None:
    trace = read(tmp_path, HEAD.format(d=",") + PLAIN.replace("0.50,1200,", "0.50,stall,"))
    assert trace.warnings == ("1 cells in head speed (rpm) hold no number",)
