"""What the truth may be, where `interval_coverage.py` counts: deviates as stated and mis-stated, and set-point laws."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.channel.reading_doubt import Z90
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine
from steadyhead.study.asked import Study
from steadyhead.study.design import Row, rows
from steadyhead.study.drawn_machine import drawn
from steadyhead.study.study_file import read_study

Floats = NDArray[np.float64]
MACHINES = ("fox600", "wren450", "heron520")
STATED, SKEWED, CORRELATED = "as stated", "skewed", "correlated"
LIKENESS = 0.5
"""Correlation of every two inputs in the correlated case."""
SKEW_SHAPE = 4.0
"""Shape of the gamma law in the skewed case: its skewness is 1."""


@dataclass(frozen=True)
class Law:
    """A true set-point law, rpm at a channel position in percent, and what it is called."""

    name: str
    level_rpm: float
    slope_rpm_per_percent: float
    bow_share: float = 0.0
    """Height of the bow in the middle between 30 and 100 %, share of the head speed at 100 %."""
    floor_rpm: float = 0.0
    ceiling_rpm: float = math.inf

    def rpm(self, percent: float) -> float:
        """Return the head speed that is really asked for."""
        straight = self.level_rpm + self.slope_rpm_per_percent * percent
        full = self.level_rpm + self.slope_rpm_per_percent * 100.0
        bow = self.bow_share * full * 4.0 * (percent - 30.0) * (100.0 - percent) / 70.0**2
        return min(max(straight + bow, self.floor_rpm), self.ceiling_rpm)


def owner(name: str) -> Machine:
    """Return a bundled machine as its owner's file describes it."""
    return read_machine(bundled(name))


def study_of(name: str, folder_file: str, draws: int, seed: int, collects: str = "plan") -> Study:
    """Return the study that draws every doubt of a bundled machine."""
    from pathlib import Path

    path = Path(folder_file)
    path.write_text(f'machine = "{name}"\ncollect = "{collects}"\ndraws = {draws}\nseed = {seed}\n', "utf-8")
    return read_study(path)


def true_machines(study: Study, machine: Machine, case: str) -> list[Machine]:
    """Return the drawn machines, known exactly: as the file doubts them, or with spreads of another shape."""
    found = rows(study, 0, study.draws)
    if case != STATED:
        random = np.random.default_rng(study.seed)
        shape = (study.draws, len(study.varied))
        off = skewed(random, shape) if case == SKEWED else correlated(random, shape)
        found = [Row(number=n, point=0, half_widths=tuple(row)) for n, row in enumerate(off)]
    return [drawn(study, machine, (), row)[0] for row in found]


def skewed(random: np.random.Generator, shape: tuple[int, ...]) -> Floats:
    """Return skewed deviates in half widths: median 0, nine tenths of them over two half widths, a long upper tail."""
    from scipy.special import gammaincinv

    low, middle, high = (float(gammaincinv(SKEW_SHAPE, chance)) for chance in (0.05, 0.5, 0.95))
    return (random.gamma(SKEW_SHAPE, size=shape) - middle) / (0.5 * (high - low))


def correlated(random: np.random.Generator, shape: tuple[int, int]) -> Floats:
    """Return normal deviates in half widths that all lean the same way."""
    shared, own = random.standard_normal((shape[0], 1)), random.standard_normal(shape)
    return (math.sqrt(LIKENESS) * shared + math.sqrt(1.0 - LIKENESS) * own) / Z90


def true_laws(top_rpm: float) -> tuple[Law, ...]:
    """Return the set-point laws that are tried for a machine whose law ends about `top_rpm`."""
    slope = top_rpm / 100.0
    return (
        Law("proportional", 0.0, slope),
        Law("with an offset", 0.25 * top_rpm, 0.75 * slope),
        Law("with a floor", -0.2 * top_rpm, 1.2 * slope, floor_rpm=0.45 * top_rpm),
        Law("with a ceiling", 0.15 * top_rpm, slope, ceiling_rpm=0.97 * top_rpm),
        Law("with a bow of 1 %", 0.25 * top_rpm, 0.75 * slope, bow_share=0.01),
        Law("with a bow of 4 %", 0.25 * top_rpm, 0.75 * slope, bow_share=0.04),
    )
