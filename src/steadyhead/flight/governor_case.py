"""One machine ready for its governor to be looked at: rig, tolerances, and every condition with its sampled plant."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.linear_model import LinearModel, SampledPlant, linear_model, sampled
from steadyhead.flight.linear_point import Ambit, Point, Rotors, points
from steadyhead.flight.rig import Rig, rig
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.governor import Governor
from steadyhead.plan.loads import CLIMB, HOVER, LOADS
from steadyhead.words.errors import InputError, SolveError, did_you_mean

FULL = 1.0
STEPPED = (HOVER, CLIMB)
"""The load steps run between these two."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Bench:
    """One machine with its engine ready, and the flight modes that are looked at."""

    machine: Machine
    rig: Rig
    ambit: Ambit
    modes: tuple[int, ...]

    @property
    def governor(self) -> Governor:
        """The governor as the engine samples it."""
        return self.rig.setting.governor

    @property
    def charges(self) -> tuple[float, ...]:
        """Full, where the loop is fastest, and at the reserve, where it is slowest."""
        return (FULL, self.ambit.reserve)

    def rotors(self, mode: int) -> Rotors:
        """Return the rotor at the head speed of a flight mode."""
        return Rotors(craft=self.rig.craft, ambit=self.ambit, speed_rad_s=self.rig.set_rad_s[mode])


@dataclass(frozen=True, kw_only=True)
class Case:
    """One condition with its linear model and the plant between governor samples."""

    mode: int
    point: Point
    model: LinearModel
    plant: SampledPlant


def bench(machine: Machine, mode: str | None = None) -> Bench:
    """Return a machine ready to be looked at, in one flight mode or in all.

    Raises: InputError when there is no such flight mode, or a value that the flight needs and nobody knows.
    """
    names = [row.name for row in machine.flight_mode]
    if mode is not None and mode not in names:
        raise InputError(f"machine {machine.name}, flight mode", read=mode, right=did_you_mean(mode, names))
    if si.number(machine, "governor.gain") <= 0.0:
        raise InputError(f"machine {machine.name}, governor.gain", read="0", right="a gain above 0")
    ready = rig(machine, blades_on=True)
    return Bench(
        machine=machine,
        rig=ready,
        ambit=Ambit(
            forward_m_s=si.number(machine, "limits.forward_speed"),
            load_factor=si.number(machine, "limits.load_factor"),
            collective_max_rad=si.number(machine, "rotor.collective_max"),
            reserve=si.number(machine, "pack.reserve"),
        ),
        modes=tuple(range(len(names))) if mode is None else (names.index(mode),),
    )


def cases(ready: Bench, loads: Sequence[str] = LOADS) -> tuple[tuple[Case, ...], tuple[str, ...]]:
    """Return every condition with its plant, and in words those that the rotor cannot fly."""
    found: list[Case] = []
    cannot: list[str] = []
    for mode in ready.modes:
        rotors = ready.rotors(mode)
        for charge in ready.charges:
            for load in loads:
                try:
                    point = points(rotors, charge, (load,))[0]
                except SolveError as error:
                    cannot.append(f"{ready.rig.modes[mode]}, {error}")
                    continue
                found.append(case_of(ready, mode, point))
    return tuple(found), tuple(dict.fromkeys(cannot))


def case_of(ready: Bench, mode: int, point: Point) -> Case:
    """Return a condition with its linear model and sampled plant."""
    model = linear_model(point, ready.rig.setting.servo_lag_s)
    return Case(mode=mode, point=point, model=model, plant=sampled(model, ready.governor.sample_s))


def linear(machine: Machine, mode: str, load: str, charge: float) -> LinearModel:
    """Return the linear model of one flight mode, load and charge.

    Raises: InputError when there is no such mode or load, or the charge is not between 0 and 1; SolveError when the
    rotor cannot fly it.
    """
    if load not in LOADS:
        raise InputError("load", read=load, right=did_you_mean(load, LOADS))
    if not 0.0 <= charge <= 1.0:
        raise InputError("charge", read=f"{charge:g}", right="a state of charge from 0 to 1")
    ready = bench(machine, mode)
    point = points(ready.rotors(ready.modes[0]), charge, (load,))[0]
    return linear_model(point, ready.rig.setting.servo_lag_s)
