"""MDF logs written by asammdf, the reference library for ASAM MDF, and read back through ours."""

import builtins
import contextlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from asammdf import MDF, Signal

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
    real = builtins.__import__

    def missing(name: str, *rest: Any) -> Any:
        if name.startswith("asammdf"):
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", missing)
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
