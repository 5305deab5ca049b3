"""Tones of a geared rotor. Source: any rotating-machinery text, from memory; the numbers are computed in the file."""

import csv
from pathlib import Path

import numpy as np
import pytest

from steadyhead.physics.sound_peaks import Bins, peaks
from steadyhead.trace.sound_lines import SoundGearing, lines_of
from tests.agrees import agrees

FOLDER = Path(__file__).parents[1] / "data" / "sound"


def rows(name: str) -> list[dict[str, str]]:
    text = (FOLDER / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in text if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("acoustic_relations_cases.csv"), ids=lambda row: row["rotor_rev_per_min"])
def test_every_line_stands_where_the_relations_say(row):
    ratio = float(row["gear_ratio"])
    lines = lines_of(
        SoundGearing(
            blades=float(row["blades"]),
            mesh_teeth=(ratio * float(row["pinion_teeth"]),),
            motor_ratio=ratio,
            pole_pairs=float(row["pole_pairs"]),
        )
    )
    turns = float(row["rotor_rev_per_min"]) / 60.0
    found = {(line.family, line.multiple): line.order * turns for line in lines}
    because = "the table is printed with 4 digits after the point"
    for key, column in (
        (("blade-pass", 1), "blade_pass_Hz"),
        (("blade-pass", 2), "second_blade_harmonic_Hz"),
        (("motor shaft", 1), "motor_shaft_Hz"),
        (("gear mesh", 1), "gear_mesh_Hz"),
        (("motor electrical", 1), "electrical_Hz"),
        (("motor electrical", 6), "commutation_Hz"),
    ):
        if key in found:  # two lines that fall together are one, under the first name
            assert agrees(found[key], float(row[column]), percent=1e-4, because=because), key
    assert len(found) > 12


@pytest.mark.parametrize("row", rows("acoustic_resolution_cases.csv"), ids=lambda row: row["window_samples"])
def test_a_parabola_beats_half_a_bin_at_least_tenfold(row):
    """The file gives the error of plain peak picking, and 10 to 30 times better for interpolated peaks."""
    tone, rate, size = (float(row[key]) for key in ("blade_pass_Hz", "sample_rate_Hz", "window_samples"))
    bin_hz = rate / size
    assert agrees(bin_hz, float(row["bin_Hz"]), percent=0.01, because="printed with 4 digits after the point")
    half = 100.0 * 0.5 * bin_hz / tone
    assert agrees(
        half, float(row["half_bin_error_percent"]), percent=0.1, because="printed with 3 digits after the point"
    )
    at = np.arange(int(size)) / rate
    worst = 0.0
    for shift in np.linspace(0.0, 1.0, 7):
        true_hz = tone + shift * bin_hz
        sound = np.hanning(int(size)) * np.sin(2.0 * np.pi * true_hz * at + 1.0)
        power = (np.abs(np.fft.rfft(sound, 2 * int(size))) ** 2)[:4096, None].astype(np.float32)
        at_hz, doubt, odds = (np.empty_like(power) for _ in range(3))
        peaks(power**0.25, Bins(0, 0, 0.5 * bin_hz), np.ones((2, 8), np.float32), at_hz, doubt, odds)
        worst = max(worst, abs(float(at_hz[round(2.0 * true_hz / bin_hz), 0]) / true_hz - 1.0))
    assert 100.0 * worst < 0.1 * half
