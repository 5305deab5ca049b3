"""Head speed against duty: for each load and pack state, the duty that each head speed would take."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.machine.description import Machine
from steadyhead.plan.demand import demand
from steadyhead.plan.figures import AT, powertrain, solution
from steadyhead.plan.loads import LOADS, ZERO_CELSIUS_K
from steadyhead.plan.trims import aircraft, trims

POINTS = 13
BELOW, ABOVE = 0.75, 1.25
"""The speeds looked at, as shares of the lowest and the highest head speed of the flight modes."""
HIGHEST_DUTY = 1.15
"""Beyond this duty a line ends: what would be needed so far above full duty helps nobody."""


@dataclass(frozen=True, kw_only=True)
class DutyCurve:
    """Duty over head speed under one load and pack state, head speed rising; above duty 1 it cannot be held."""

    condition: str
    load: str
    charge: float
    pack_temperature_c: float
    head_speed_rpm: tuple[float, ...]
    duty: tuple[float, ...]


def head_speed_against_duty(machine: Machine) -> tuple[DutyCurve, ...]:
    """Return a curve for every load and pack state, each point trimmed and solved; none without a flight mode.

    Hover, hard cyclic and fast forward keep their thrust at every head speed, the climb keeps its collective.
    """
    if not machine.flight_mode:
        return ()
    asked = [mode.head_speed.si for mode in machine.flight_mode]
    speeds = np.linspace(BELOW * min(asked), ABOVE * max(asked), POINTS)
    craft, train = aircraft(machine), powertrain(machine)
    figures = solution(demand(trims(craft, speeds), craft, speeds), craft, train).figures
    return tuple(
        DutyCurve(
            condition=f"{load}, {state.name}",
            load=load,
            charge=state.charge,
            pack_temperature_c=state.temperature_k - ZERO_CELSIUS_K,
            head_speed_rpm=points[0],
            duty=points[1],
        )
        for load_at, load in enumerate(LOADS)
        for state_at, state in enumerate(train.states)
        if (points := _points(figures[:, load_at, state_at])) and points[0]
    )


def _points(figures: NDArray[np.float64]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return head speeds and duties up to the first that lies far above full duty.

    Shapes: figures (speeds, FIGURES).
    """
    speed, duty = figures[:, AT["head_speed_rpm"]], figures[:, AT["duty"]]
    beyond = np.flatnonzero(duty > HIGHEST_DUTY)
    last = int(beyond[0]) if len(beyond) else len(duty)
    return tuple(float(one) for one in speed[:last]), tuple(float(one) for one in duty[:last])
