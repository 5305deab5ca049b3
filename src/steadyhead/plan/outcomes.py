"""All conditions of a machine held against all limits at once, to rank choices and to name the worst place."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.plan.checks import CHECKS, HOVER_DUTY_HIGH, HOVER_DUTY_LOW, Check
from steadyhead.plan.figures import AT
from steadyhead.plan.loads import HOVER, LOADS, LONG
from steadyhead.words.verdict import ROUNDING, Limit, Outcome

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ALL_OF_IT = Limit(value=1.0, unit="", origin="what the load asks")
THRUST_REACHED = Check(
    check="thrust_reached",
    figure="thrust_share",
    what="rotor thrust over that asked",
    unit="",
    limit_key="",
    at_least=True,
)
TAIL_HOLDS = Check(
    check="tail_holds", figure="tail_share", what="tail thrust over that asked", unit="", limit_key="", at_least=True
)
COLLECTIVE_RANGE = Check(
    check="collective_range", figure="collective_deg", what="collective", unit="°", limit_key="rotor.collective_max"
)
ONLY_IN = {"hover_duty": (HOVER,), "collective_range": LONG}
"""Loads that a check is about; every other check is about all of them."""


@dataclass(frozen=True, kw_only=True)
class Held:
    """One check over all conditions it holds for.

    Shapes: every array (modes, loads, states); conditions that the check does not concern neither fail nor doubt.
    `excess` is how far the figure is beyond the limit over the limit, -inf where the check does not hold.
    """

    check: str
    figure_name: str
    what: str
    unit: str
    limits: tuple[Limit | None, ...]
    at_least: bool
    figure: Floats
    excess: Floats
    fails: Bools
    doubts: Bools

    @property
    def outcome(self) -> Outcome:
        """The check's outcome over all conditions."""
        if bool(self.fails.any()):
            return Outcome.FAIL
        return Outcome.UNKNOWN if bool(self.doubts.any()) else Outcome.PASS

    def worst_place(self) -> tuple[int, int, int]:
        """Return mode, load and state of the condition furthest beyond the limit, or nearest to it."""
        mode, load, state = np.unravel_index(int(np.nanargmax(self.excess)), self.excess.shape)
        return int(mode), int(load), int(state)


def held(bound: Mapping[str, Limit | None], figures: Floats, low: Floats, high: Floats) -> Iterator[Held]:
    """Hold every figure against its limit by the rule of words.verdict; a limit that nobody gave is a doubt.

    `bound` holds the limits by key.
    Shapes: figures, low, high (modes, loads, states, FIGURES).
    """
    rotors = (THRUST_REACHED, TAIL_HOLDS, COLLECTIVE_RANGE)
    for check in (*rotors, *CHECKS, HOVER_DUTY_LOW, HOVER_DUTY_HIGH):
        at = AT[check.figure]
        concerns = ONLY_IN.get(check.check, LOADS)
        keys = [check.key_for(load in LONG) for load in LOADS]
        limits = tuple(bound[key] if key else ALL_OF_IT for key in keys)
        bounds = np.array([limit.value if limit else np.nan for limit in limits])[None, :, None]
        concerned = np.array([load in concerns for load in LOADS])[None, :, None]
        yield _held(check, limits, figures[..., at], (low[..., at], high[..., at]), (bounds, concerned))


def _held(
    check: Check,
    limits: tuple[Limit | None, ...],
    figure: Floats,
    ends: tuple[Floats, Floats],
    of: tuple[Floats, Bools],
) -> Held:
    bounds, concerned = of
    sign = -1.0 if check.at_least else 1.0
    slack = ROUNDING * np.abs(bounds)
    beyond = sign * (figure - bounds) - slack
    reach = np.maximum(sign * (ends[0] - bounds), sign * (ends[1] - bounds)) - slack
    excess = np.where(np.isnan(bounds), sign * figure, beyond / np.abs(bounds))
    return Held(
        check=check.check,
        figure_name=check.figure,
        what=check.what,
        unit=check.unit,
        limits=limits,
        at_least=check.at_least,
        figure=figure,
        excess=np.where(concerned & ~np.isnan(figure), excess, -np.inf),
        fails=concerned & (beyond > 0.0),
        doubts=concerned & ~(beyond > 0.0) & ~(reach <= 0.0),
    )
