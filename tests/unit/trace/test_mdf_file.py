"""MDF logs written by asammdf, the reference library for ASAM MDF, and read back through ours."""

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from asammdf import MDF, Signal

from steadyhead.trace import mdf_apart
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import InputError

QUICK = np.arange(0.0, 60.0, 0.01)
SLOW = np.arange(0.05, 65.0, 0.2)
GEARING = Gearing(ratio=9.0, pole_pairs=5.0, cells=12.0)


def speed(time_s: np.ndarray) -> np.ndarray:
    return 2000.0 * np.clip(time_s / 12.0, 0.0, 1.0)


def written(path: Path, version: str = "4.10", compression: int = 0) -> Path:
    file = MDF(version=version)
    file.append(
        [
            Signal(speed(QUICK) * 45.0, QUICK, name="eRPM", unit="1/min"),
            Signal((70.0 * (QUICK > 2.0)).astype("u1"), QUICK, name="throttle", unit="%"),
        ]
    )
    file.append([Signal(50000.0 - 20.0 * SLOW, SLOW, name="Akkuspannung", unit="mV")])
    file.append([Signal((25.0 + SLOW / 3.0).astype("f4"), SLOW, name="Temperatur Regler", unit="°C")])
    saved = file.save(path, overwrite=True, compression=compression)
    file.close()
    return Path(saved)


def read(path: Path) -> Trace:
    return read_trace(path, gearing=GEARING, remember=False)


@pytest.mark.parametrize(("version", "compression"), [("4.10", 0), ("4.10", 2), ("4.20", 1), ("3.30", 0)])
def test_groups_of_different_rates_become_one_trace(tmp_path: Path, version: str, compression: int) -> None:
    trace = read(written(tmp_path / "log.mf4", version, compression))
    head = trace.channels["motor_side_speed_rpm"]
    seen = np.isfinite(head)
    assert np.allclose(head[seen], speed(trace.time_s[seen]), atol=0.01)
    volts = trace.channels["pack_voltage_v"]
    assert np.isfinite(volts).sum() == SLOW.size
    there = np.isfinite(volts)
    assert np.allclose(volts[there], 50.0 - 0.02 * trace.time_s[there], atol=0.02 * 0.0051)
    assert np.isfinite(trace.channels["controller_temperature_c"]).sum() == SLOW.size


def test_a_group_that_reaches_further_adds_its_own_rows(tmp_path: Path) -> None:
    trace = read(written(tmp_path / "log.mf4"))
    assert trace.time_s[-1] == pytest.approx(SLOW[-1])
    assert trace.rows_read == QUICK.size + (QUICK[-1] < SLOW).sum()


def test_the_unit_in_the_file_is_used(tmp_path: Path) -> None:
    trace = read(written(tmp_path / "log.mf4"))
    assert np.nanmax(trace.channels["pack_voltage_v"]) == pytest.approx(49.999, abs=0.001)
    assert any("read as MDF 4.10, 3 groups" in step for step in trace.history)
    assert any("electrical speed, divided by 45" in step for step in trace.history)


def test_text_channels_and_values_marked_invalid_are_no_numbers(tmp_path: Path) -> None:
    file = MDF(version="4.10")
    bad = np.zeros(QUICK.size, bool)
    bad[100:150] = True
    file.append(
        [
            Signal(speed(QUICK), QUICK, name="head speed", unit="rpm", invalidation_bits=bad),
            Signal(np.array([b"idle"] * QUICK.size), QUICK, name="state", encoding="utf-8"),
        ]
    )
    file.save(tmp_path / "log.mf4", overwrite=True)
    trace = read(tmp_path / "log.mf4")
    assert np.isnan(trace.channels["head_speed_rpm"]).sum() == 50
    assert any("state: text, kept out" in step for step in trace.history)


def test_without_the_library_the_error_names_the_extra(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path / "log.mf4")
    monkeypatch.setitem(sys.modules, "asammdf", None)
    with pytest.raises(InputError, match=r"pip install 'steadyhead\[mdf\]'"):
        read(path)


def test_an_empty_and_a_cut_file_are_refused_in_one_sentence(tmp_path: Path) -> None:
    whole = written(tmp_path / "log.mf4").read_bytes()
    for name, data in (("head.mf4", whole[:64]), ("cut.mf4", whole[: len(whole) // 2]), ("bare.mf4", b"MDF     4.10")):
        (tmp_path / name).write_bytes(data)
        with pytest.raises(InputError) as caught:
            read(tmp_path / name)
        assert str(caught.value).startswith(name)
        assert "\n" not in str(caught.value)


@pytest.mark.parametrize("compression", [0, 2])
def test_damage_at_random_never_ends_in_anything_but_a_trace_or_a_sentence(compression: int, tmp_path: Path) -> None:
    whole = bytearray(written(tmp_path / "log.mf4", compression=compression).read_bytes())
    rng = np.random.default_rng(8)
    path = tmp_path / "hurt.mf4"
    for _ in range(60):
        hurt = bytearray(whole)
        for at in rng.integers(0, 4000, rng.integers(1, 8)):
            hurt[int(at)] = int(rng.integers(0, 256))
        path.write_bytes(bytes(hurt))
        with contextlib.suppress(InputError):
            assert np.all(np.diff(read(path).time_s) > 0)


@pytest.fixture
def grim_library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A library in the place of the real one, which ends as its file says, and a fresh process that loads it."""
    folder = tmp_path / "library" / "asammdf"
    (folder / "blocks").mkdir(parents=True)
    (folder / "__init__.py").write_text(GRIM, "utf-8")
    (folder / "blocks" / "__init__.py").touch()
    (folder / "blocks" / "utils.py").write_text("class MdfException(Exception): ...\n", "utf-8")
    mdf_apart.stop()
    monkeypatch.syspath_prepend(folder.parent)
    yield tmp_path / "grim.mf4"
    mdf_apart.stop()


GRIM = """
import os, signal

class MDF:
    def __init__(self, file):
        deed = file.read().split()[1]
        if deed == b"crash":
            os.kill(os.getpid(), signal.SIGSEGV)
        if deed == b"hang":
            while True:
                pass
        if deed == b"greed":
            self.held = bytearray(3 << 30)
        print("heard on the terminal")
        raise SystemExit(3)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="signals and limits of the system")
@pytest.mark.parametrize(
    ("deed", "said"),
    [
        ("crash", r"came to grief \(SIGSEGV\)"),
        ("hang", "did not come to an end in 1 s"),
        ("greed", r"a broken MDF file \(MemoryError\)"),
        ("leave", "stopped halfway"),
    ],
)
def test_a_file_that_ends_the_library_ends_in_one_sentence(
    grim_library: Path, deed: str, said: str, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(mdf_apart, "LIMIT_S", 1)
    grim_library.write_bytes(f"MDF     {deed} ".encode())
    for _ in range(2):  # and the process that reads is there again for the next file
        with pytest.raises(InputError, match=said) as caught:
            read(grim_library)
        assert str(caught.value).startswith("grim.mf4")
        assert "right would be a whole MDF file" in str(caught.value)
    assert capfd.readouterr() == ("", "")


def test_a_helper_that_was_killed_is_replaced(tmp_path: Path) -> None:
    path = written(tmp_path / "log.mf4")
    rows = read(path).rows_read
    helper = mdf_apart.helper()
    assert helper is not None
    helper.kill()
    helper.wait()
    assert read(path).rows_read == rows


def test_a_long_file_is_read_in_pieces_to_the_same_values(tmp_path: Path) -> None:
    """The same channels with values marked invalid, one group of 400,000 rows: several pieces of it."""
    time_s = np.arange(0.0, 4000.0, 0.01)
    bad = np.zeros(time_s.size, bool)
    bad[300_000:300_050] = True
    file = MDF(version="4.10")
    wide = [Signal(np.arange(time_s.size) * 1.0 + k, time_s, name=f"filler {k}") for k in range(30)]
    head = Signal(1500.0 + time_s % 7.0, time_s, name="head speed", unit="rpm", invalidation_bits=bad)
    file.append([head, *wide, Signal(time_s % 3.0, time_s, name="current", unit="A")])
    saved = file.save(tmp_path / "long.mf4", overwrite=True)
    file.close()
    trace = read(Path(saved))
    gone = np.isnan(trace.channels["head_speed_rpm"])
    assert np.array_equal(gone, bad)
    assert np.array_equal(trace.channels["head_speed_rpm"][~bad], (1500.0 + time_s % 7.0)[~bad])
    assert np.array_equal(trace.channels["pack_current_a"], time_s % 3.0)


def test_a_file_that_its_logger_did_not_finish_is_read_and_left_as_it_is(tmp_path: Path) -> None:
    path = written(tmp_path / "log.mf4")
    whole = read(path)
    data = bytearray(path.read_bytes())
    data[:8] = b"UnFinMF "
    data[60:62] = (1).to_bytes(2, "little")  # the counts of cycles are still to be written
    path.write_bytes(data)
    assert read(path).channels.keys() == whole.channels.keys()
    assert path.read_bytes() == data


def test_a_file_of_another_kind_behind_the_mark_is_refused_without_a_path(tmp_path: Path) -> None:
    path = tmp_path / "log.mf4"
    path.write_bytes(b"MDF     9.99    " + bytes(4000))
    with pytest.raises(InputError, match="MDF file") as caught:
        read(path)
    assert "/tmp" not in str(caught.value)
    assert str(tmp_path) not in str(caught.value)
