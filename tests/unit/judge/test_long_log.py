"""A log larger than memory is judged piece by piece, and comes out as it does in one piece."""

from pathlib import Path

import numpy as np
import polars as pl
import pytest
from asammdf import MDF, Signal

from steadyhead.judge.judging import judge
from steadyhead.judge.long_log import judge_pieces
from steadyhead.judge.result import Judgement
from steadyhead.trace import big_log, big_source
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.trace.unsure import UnsureColumns
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly, logged
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight

GEARING = Gearing(MACHINE.gear_ratio, MACHINE.pole_pairs, float(MACHINE.cells))
FLIGHTS = 5


@pytest.fixture(scope="module")
def long_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write five flights end to end at 50 rows a second, electrical speed in place of head speed, height from sea."""
    _, columns = logged(fly(Drive(), flight()), 50.0)
    rows = columns["head"].size * FLIGHTS
    head, duty, volt, amp = (np.tile(columns[name], FLIGHTS) for name in ("head", "duty", "volt", "amp"))
    throttle, height = np.tile(columns["throttle"], FLIGHTS), np.tile(columns["height"], FLIGHTS) + 412.0
    path = tmp_path_factory.mktemp("long") / "long.csv"
    speed = head * MACHINE.gear_ratio * MACHINE.pole_pairs
    table = np.column_stack([20.0 * np.arange(rows), speed, throttle, duty * 100.0, volt * 1000.0, amp, height])
    with path.open("w", encoding="utf-8") as file:
        file.write("time (ms);eRPM;throttle (%);duty (%);pack voltage (mV);current (A);height (m);mode\n")
        np.savetxt(file, table, fmt="%.0f;%.0f;%.1f;%.1f;%.0f;%.1f;%.1f;idle")
    return path


@pytest.fixture
def small_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(big_source, "BIG_FROM", 1 << 20)
    monkeypatch.setattr(big_source, "BLOCK", 100_000)
    monkeypatch.setattr(big_source, "BLOCK_ROWS", 5_000)
    monkeypatch.setattr(big_source, "CELL_LIMIT", 100_000)
    monkeypatch.setattr(big_log, "PIECE_ROWS", 12_000)
    monkeypatch.setattr(big_log, "SKETCH_ROWS", 4_000)


def pieces(path: Path) -> list[Trace]:
    return list(big_log.pieces(path, gearing=GEARING, mapping={}))


@pytest.mark.usefixtures("small_pieces")
def test_the_pieces_are_the_rows_of_the_whole_log(long_log: Path) -> None:
    whole = read_trace(long_log, gearing=GEARING, remember=False)
    parts = pieces(long_log)
    assert big_log.is_big(long_log)
    assert len(parts) > 2
    assert sum(part.rows_read for part in parts) == whole.rows_read
    time_s = np.concatenate([part.time_s for part in parts])
    assert np.allclose(time_s, whole.time_s)
    for name, values in whole.channels.items():
        joined = np.concatenate([part.channels[name] for part in parts])
        # the ground is the median of the first rows, and the sample of the first pass has fewer of them
        off = 0.3 if name == "height_m" else 1e-6
        assert np.allclose(joined, values, rtol=1e-9, atol=off), name


@pytest.fixture(scope="module")
def long_parquet(long_log: Path) -> Path:
    """Write the same rows as Parquet in many row groups, with a clock of its own type and a column of lists."""
    frame = pl.read_csv(long_log, separator=";")
    stamps = (frame["time (ms)"] * 1000.0).cast(pl.Int64).cast(pl.Datetime("us"))
    lists = pl.Series("gyro", [[1.0, 2.0]] * frame.height)
    path = long_log.with_name("long.parquet")
    frame.with_columns(stamps.alias("time (ms)"), lists).rename({"time (ms)": "time"}).write_parquet(
        path, row_group_size=3_000
    )
    return path


@pytest.mark.usefixtures("small_pieces")
def test_a_large_parquet_file_comes_in_the_same_pieces(long_log: Path, long_parquet: Path) -> None:
    assert big_log.is_big(long_parquet)
    for one, other in zip(pieces(long_log), pieces(long_parquet), strict=True):
        assert np.allclose(one.time_s, other.time_s, atol=2e-6)
        assert one.channels.keys() == other.channels.keys()
        for name, values in one.channels.items():
            # the two first passes keep other rows, and the ground is the median of the first of them
            assert np.allclose(values, other.channels[name], atol=0.3 if name == "height_m" else 1e-6), name


@pytest.mark.usefixtures("small_pieces")
def test_a_large_parquet_file_that_breaks_within_is_refused_in_one_sentence(long_parquet: Path, tmp_path: Path) -> None:
    data = bytearray(long_parquet.read_bytes())
    middle = len(data) // 2
    data[middle : middle + 4000] = bytes(4000)
    path = tmp_path / "hurt.parquet"
    path.write_bytes(bytes(data))
    with pytest.raises(InputError, match=r"hurt\.parquet: read a broken Parquet file"):
        pieces(path)


@pytest.fixture(scope="module")
def long_mdf(long_log: Path) -> Path:
    """Write the same rows as MDF: the pack in a slower group that reaches further, words in a group of their own."""
    frame = pl.read_csv(long_log, separator=";")
    time_s = frame["time (ms)"].to_numpy() / 1000.0
    slow = slice(7, None, 20)
    further = np.append(time_s[slow] + 0.003, time_s[-1] + 5.0)
    file = MDF(version="4.10")
    file.append(
        [Signal(frame[n].to_numpy(), time_s, name=n) for n in ("eRPM", "throttle (%)", "duty (%)", "height (m)")]
    )
    pack = {n: frame[n].to_numpy()[slow].astype(np.float64) for n in ("pack voltage (mV)", "current (A)")}
    file.append([Signal(np.append(v, v[-1]), further, name=n) for n, v in pack.items()])
    file.append([Signal(np.array([b"idle"] * 40), time_s[:40], name="mode", encoding="utf-8")])
    path = Path(file.save(long_log.with_name("long.mf4"), overwrite=True))
    file.close()
    return path


@pytest.mark.usefixtures("small_pieces")
def test_a_large_mdf_file_comes_as_it_does_in_one_piece(long_mdf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = read_trace(long_mdf, gearing=GEARING, remember=False)
    assert big_log.is_big(long_mdf)
    parts = pieces(long_mdf)
    assert len(parts) > 2
    assert sum(part.rows_read for part in parts) == whole.rows_read
    assert np.allclose(np.concatenate([part.time_s for part in parts]), whole.time_s)
    assert set(parts[0].channels) == set(whole.channels)
    for name, values in whole.channels.items():
        joined = np.concatenate([part.channels[name] for part in parts])
        assert np.array_equal(np.isfinite(joined), np.isfinite(values)), name
        assert np.allclose(joined, values, rtol=1e-9, atol=0.3 if name == "height_m" else 1e-6, equal_nan=True), name
    monkeypatch.setattr(big_source, "BIG_FROM", 1 << 40)
    assert big_log.is_big(long_mdf), "it holds more numbers than the limit of a table in memory"


@pytest.mark.usefixtures("small_pieces")
def test_a_large_mdf_file_with_a_slower_clock_that_runs_backwards_is_refused(tmp_path: Path) -> None:
    time_s = np.arange(0.0, 1000.0, 0.02)
    file = MDF(version="4.10")
    file.append([Signal(2000.0 + np.sin(time_s), time_s, name="head speed", unit="rpm")])
    slow = time_s[::10].copy()
    slow[2000:] -= 100.0
    file.append([Signal(50.0 - 1e-3 * slow, slow, name="pack voltage", unit="V")])
    path = Path(file.save(tmp_path / "back.mf4"))
    file.close()
    with pytest.raises(InputError, match="times that run backwards"):
        pieces(path)


@pytest.mark.usefixtures("small_pieces")
def test_a_slow_channel_is_found_however_its_rows_fall_beside_the_sample(tmp_path: Path) -> None:
    rows = np.arange(60_000)
    temperature = np.where(rows % 750 == 601, 30.0 + rows / 6000.0, np.nan)
    frame = pl.DataFrame(
        {"time (s)": rows * 0.02, "head speed (rpm)": 2000.0 + rows % 7, "motor temperature (C)": temperature}
    )
    path = tmp_path / "seldom.parquet"
    frame.write_parquet(path)
    seen = np.concatenate([part.channels["motor_temperature_c"] for part in pieces(path)])
    assert np.isfinite(seen).sum() == np.isfinite(temperature).sum()


@pytest.mark.usefixtures("small_pieces")
def test_every_piece_is_cut_where_the_rotor_rests(long_log: Path) -> None:
    for part in pieces(long_log)[:-1]:
        speed = next(part.channels[name] for name in big_log.SPEEDS if name in part.channels)
        assert float(np.abs(speed[-50:]).max()) < 60.0


@pytest.mark.usefixtures("small_pieces")
def test_the_judgement_of_the_pieces_is_that_of_the_whole(long_log: Path) -> None:
    whole = judge(MACHINE, read_trace(long_log, gearing=GEARING, remember=False))
    got = judge_pieces(MACHINE, pieces(long_log))
    assert got.rows_read == whole.rows_read
    assert [f.number for f in got.flights] == [1, 2, 3, 4, 5]
    assert got.energy_wh == pytest.approx(whole.energy_wh, rel=1e-3)
    told, expected = ({c.check: c.verdict for c in one.checks} for one in (got, whole))
    # A start out of hold in the next piece is not seen, and each piece has a rest voltage of its own.
    assert told.pop("hold_clears_quick_restart") is Outcome.UNKNOWN
    assert expected.pop("hold_clears_quick_restart") is Outcome.PASS
    assert told.pop("charge_left") is not Outcome.FAIL
    assert expected.pop("charge_left") is not Outcome.FAIL
    assert told == expected
    assert _driven(got) == pytest.approx(_driven(whole), abs=0.1)
    assert len(got.events) == len(whole.events)
    for one, other in zip(got.events, whole.events, strict=True):
        assert one.start_s == pytest.approx(other.start_s, abs=0.05)
        assert one.droop_percent == pytest.approx(other.droop_percent, abs=0.02)


@pytest.fixture(scope="module")
def restarted_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write four flights whose logger was stopped while the head coasted, so that its clock began again."""
    _, columns = logged(fly(Drive(), flight()), 50.0)
    head = columns["head"]
    rows = int(np.flatnonzero(head > 0.5 * float(head.max()))[-1])
    names = ("head", "throttle", "duty", "volt", "amp", "height")
    one = np.column_stack([0.02 * np.arange(rows), *(columns[name][:rows] for name in names)])
    path = tmp_path_factory.mktemp("restarted") / "restarted.csv"
    with path.open("w", encoding="utf-8") as file:
        file.write("time (s),head speed (rpm),throttle (%),duty (0..1),pack voltage (V),pack current (A),height (m)\n")
        np.savetxt(file, np.tile(one, (4, 1)), fmt="%.2f,%.0f,%.1f,%.3f,%.2f,%.1f,%.1f")
    return path


@pytest.mark.usefixtures("small_pieces")
@pytest.mark.parametrize("rows", [4_000, 9_000, 14_000])
def test_what_is_said_does_not_depend_on_where_the_pieces_are_cut(
    restarted_log: Path, rows: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(big_log, "PIECE_ROWS", rows)
    monkeypatch.setattr(big_log, "MOST_ROWS", 3 * rows)
    whole = judge(MACHINE, read_trace(restarted_log, gearing=GEARING, remember=False))
    got = judge_pieces(MACHINE, pieces(restarted_log))
    assert len(whole.flights) == len(got.flights) == 4
    assert {c.check: c.verdict for c in got.checks} == {c.check: c.verdict for c in whole.checks}


def _driven(judgement: Judgement) -> list[float]:
    return [s.start_s for s in judgement.segments if s.kind in ("soft_spool", "quick_spool", "governed")]


@pytest.mark.usefixtures("small_pieces")
def test_a_row_that_is_not_plain_is_named_by_its_line(long_log: Path, tmp_path: Path) -> None:
    lines = long_log.read_text("utf-8").splitlines(keepends=True)
    lines[30_000] = '"broken;row\n'
    path = tmp_path / "broken.csv"
    path.write_text("".join(lines), "utf-8")
    with pytest.raises(InputError, match=r"broken\.csv, from line \d+: read rows that are not plain"):
        pieces(path)


def test_a_small_log_a_packed_one_and_a_missing_one_are_not_read_in_pieces(tmp_path: Path, long_log: Path) -> None:
    assert not big_log.is_big(long_log)
    assert not big_log.is_big(tmp_path)
    assert not big_log.is_big(tmp_path / "nowhere.csv")


@pytest.mark.usefixtures("small_pieces")
def test_a_large_parquet_file_of_numbers_as_text_comes_in_the_same_pieces(long_log: Path, tmp_path: Path) -> None:
    path = tmp_path / "words.parquet"
    pl.read_csv(long_log, separator=";").select(pl.all().cast(pl.String)).write_parquet(path, row_group_size=3_000)
    for one, other in zip(pieces(long_log), pieces(path), strict=True):
        assert one.channels.keys() == other.channels.keys()
        assert np.allclose(one.time_s, other.time_s)


@pytest.mark.usefixtures("small_pieces")
def test_a_large_parquet_file_of_words_is_refused_for_that(tmp_path: Path) -> None:
    path = tmp_path / "words.parquet"
    pl.DataFrame({"time": ["soon"] * 60_000, "mode": ["idle"] * 60_000}).write_parquet(path)
    with pytest.raises(InputError, match="none of them of numbers"):
        pieces(path)


@pytest.mark.usefixtures("small_pieces")
def test_cells_that_hold_nothing_in_a_large_log_are_counted_once(long_log: Path, tmp_path: Path) -> None:
    heading, *rows = long_log.read_text("utf-8").splitlines()
    volts = heading.split(";").index("pack voltage (mV)")
    cells = [row.split(";") for row in rows]
    for row in cells[100::500]:
        row[volts] = ""
    path = tmp_path / "holes.csv"
    path.write_text("\n".join([heading, *(";".join(row) for row in cells)]) + "\n", "utf-8")
    said = [warning for part in pieces(path) for warning in part.warnings if "empty cells" in warning]
    assert said == [f"{len(cells[100::500])} empty cells in pack voltage (mV)"]


@pytest.mark.usefixtures("small_pieces")
@pytest.mark.parametrize(("encoding", "mark", "reason"), [("utf-16", "", "UTF-16"), ("utf-8", '"', "cells in quotes")])
def test_a_large_log_that_is_not_plain_is_refused_for_its_own_reason(
    encoding: str, mark: str, reason: str, long_log: Path, tmp_path: Path
) -> None:
    path = tmp_path / "odd.csv"
    lines = long_log.read_text("utf-8").splitlines()
    path.write_bytes("\n".join(mark + line.replace(";", f"{mark};{mark}") + mark for line in lines).encode(encoding))
    with pytest.raises(InputError, match=f"read {reason}, in a log of more than 256 MiB"):
        pieces(path)


@pytest.mark.usefixtures("small_pieces")
def test_rows_in_the_warnings_of_a_large_log_count_from_its_beginning(long_log: Path, tmp_path: Path) -> None:
    heading, *rows = long_log.read_text("utf-8").splitlines()
    at = len(rows) - 3000
    back = [f"{float(row.split(';', 1)[0]) - 7000.0:.0f};{row.split(';', 1)[1]}" for row in rows[at:]]
    path = tmp_path / "back.csv"
    path.write_text("\n".join([heading, *rows[:at], *back]) + "\n", "utf-8")
    said = [warning for part in pieces(path) for warning in part.warnings]
    assert any(f"time runs backwards after data row {at} " in warning for warning in said)


@pytest.mark.usefixtures("small_pieces")
def test_a_large_log_whose_bare_time_no_rotor_keeps_to_is_asked_about(long_log: Path, tmp_path: Path) -> None:
    path = tmp_path / "hundredths.csv"
    heading, *rows = long_log.read_text("utf-8").splitlines()
    cells = [row.split(";", 1) for row in rows[::2]]
    bare = [heading.replace("time (ms)", "time"), *(f"{float(t) / 10.0:.0f};{rest}" for t, rest in cells)]
    path.write_text("\n".join(bare) + "\n", "utf-8")
    with pytest.raises(UnsureColumns, match=r"quicker than any rotor.*time=time_s:1/100 s"):
        pieces(path)


@pytest.mark.usefixtures("small_pieces")
def test_cells_that_a_large_log_leaves_out_are_kept_in_mind(long_log: Path, tmp_path: Path) -> None:
    """One column for each cell makes no weakest cell there, and the mean of the pack may not stand for it."""
    cells = [f"cell {k} (V)" for k in range(1, MACHINE.cells + 1)]
    frame = pl.read_csv(long_log, separator=";")
    volts = frame["pack voltage (mV)"] / 1000.0 / MACHINE.cells
    path = tmp_path / "cells.csv"
    frame.with_columns(volts.round(3).alias(cell) for cell in cells).write_csv(path, separator=";")
    for part in pieces(path):
        left = [one.heading for one in part.unread if one.channel == "lowest_cell_v"]
        assert left == [f"least of {MACHINE.cells} cells"]
    judged = judge_pieces(MACHINE, pieces(path))
    assert next(c for c in judged.checks if c.check == "cell_voltage").verdict is Outcome.UNKNOWN
