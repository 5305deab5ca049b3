"""What a study asks: the machine, what varies, whose figures are collected, and the question."""

from dataclasses import dataclass
from enum import StrEnum

from steadyhead.flight.device import Device


class Collects(StrEnum):
    """The command whose figures are collected."""

    PLAN = "plan"
    CHANNEL = "channel"
    FLY = "fly"
    GOVERNOR = "governor"
    DESCEND = "descend"
    BAIL_OUT = "bail_out"
    PEAKS = "peaks"


IN_ONE_GO = (Collects.BAIL_OUT, Collects.PEAKS)
"""Flown by thousands as rows of numbers, on the processor or on a graphics card."""


class Question(StrEnum):
    """What the study is to find out."""

    VERDICT = "verdict"
    SENSITIVITY = "sensitivity"
    TRADE = "trade"
    WORST = "worst"


PACK, PILOT_DELAY = "pack", "pilot_delay"
"""What varies besides keys of the machine file: a pack choice by its name, and the pilot's reaction time, s."""


@dataclass(frozen=True, kw_only=True)
class Varied:
    """One uncertain input: how far it spreads, SI; 90 % of the draws lie within the half width."""

    key: str
    value_si: float
    half_width_si: float
    unit: str
    """SI number and unit stand apart: `value_si` is what a kernel sees, the unit is the one of the machine file."""


@dataclass(frozen=True, kw_only=True)
class Swept:
    """One input that takes given values, one after another: SI numbers, or names of packs."""

    key: str
    values: tuple[float | str, ...]
    said: tuple[str, ...]
    """Each value as the study file says it."""


@dataclass(frozen=True, kw_only=True)
class Study:
    """A study, read and checked against its machine."""

    name: str
    source: str
    machine_name: str
    machine_text: str
    """The machine file as it stood: it goes to every worker."""
    collects: Collects
    scenario: str
    """Of `fly`: a bundled scenario by its name, or a file."""
    readings: tuple[str, ...]
    question: Question
    check: str
    """For `verdict` and `worst`: one check by its name; empty for the verdict of the whole command."""
    figure: str
    """For `sensitivity` and `worst`: the figure looked at."""
    against: tuple[str, str]
    """For `trade`: the two figures, more of both is better."""
    draws: int
    seed: int
    needed_share: float
    """For `verdict`: share of the drawn machines that must pass."""
    varied: tuple[Varied, ...]
    swept: tuple[Swept, ...]
    device: Device = Device.CPU
    """Of `bail_out` and `peaks`: what flies."""
