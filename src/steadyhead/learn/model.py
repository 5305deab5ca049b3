"""The model that all logs are fitted with at once: what is left over in every window of every log."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.replay import charge_at
from steadyhead.learn.flat_drag import FlatDrag
from steadyhead.learn.rows import FEWEST_WINDOWS, Coast, Driven, Evidence, PackRows
from steadyhead.learn.unknowns import NINETY, Unknown, of_log
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.controller import Controller
from steadyhead.physics.log_balance import (
    DriveRows,
    PackRun,
    Slowing,
    coast_run,
    current_gaps,
    pack_run,
    voltage_gaps,
    winding_run,
)
from steadyhead.physics.motor import Motor
from steadyhead.physics.tail_curve import held_torques
from steadyhead.trace.trace import Series

Numbers = dict[str, float]

CHARGE_SD = 0.05
LEAST_OFFSET_V = 0.02
"""Least half width, of a cell: another day, another age of the pack; own choice."""
TILT_SD_V = 0.1
"""Of a cell, over the whole charge."""
TOP_SD_V = 0.06
"""Of a cell: how steep the curve is where it is full; about as much as our own term there, see `cell_open_circuit`."""
BEND_SD_V = 0.1
"""Of a cell, over the whole charge: how the curve bends. Both common practice, no source."""
TOP_POWER = 8
LAG_SD_S = 0.05
SENSOR_LAG_S = 0.04
CURRENT_LAG_SD_S = 0.02
"""Sensors of speed and of current lag by some hundredths of a second; that of a current is less often slower still."""
STANDBY_A = 0.3
SEEN_STANDBY_SD_A = 0.05
PITCH_SD = 0.02
"""Logarithm of the drag at flat pitch: air density and a collective that is half a degree off."""
BLIND_PITCH_SD = 0.08
"""The same where no collective is logged. All: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Block:
    """What is left over in one kind of balance of one log: its name, and how small an error of the model may be.

    Windows with the same number in `alike` share one error, whose standard deviation is `common`: a duty that stands
    on one step is wrong by the same for as long as it stands there. Shapes: left, alike, common (n,).
    """

    name: str
    left: Series
    floor: float
    alike: NDArray[np.int64] | None = None
    common: Series | None = None


@dataclass(frozen=True, kw_only=True)
class LogModel:
    """One log, ready to be worked out with any numbers."""

    machine: Machine
    number: int
    evidence: Evidence
    drag: FlatDrag

    @cached_property
    def ratio(self) -> float:
        """Motor turns for one head turn."""
        return self.machine.gear_ratio

    @cached_property
    def air_k(self) -> float:
        """Air temperature of the site, K."""
        return si.number(self.machine, "site.temperature")

    @cached_property
    def stated_controller(self) -> Controller:
        """The controller as the file states it."""
        return si.controller(self.machine)

    @cached_property
    def no_load_rad_s(self) -> float:
        """Speed at which the file states the no-load current."""
        return si.motor(self.machine).no_load_speed_rad_s

    @cached_property
    def warming_k(self) -> tuple[Series, Series] | None:
        """How far above the air the winding was in each driven window, and how much more for a ripple factor of 1.

        By the log where it holds the motor's temperature, that of its sensor; else by the heat nodes of the file.
        """
        driven, trace = self.evidence.driven, self.evidence.trace
        if driven is None:
            return None
        logged = trace.get("motor_temperature_c")
        if logged is not None:
            known = np.isfinite(logged)
            seen = np.interp(driven.time_s, trace.time_s[known], logged[known]) + 273.15 - self.air_k
            return seen, np.zeros(seen.size)
        smooth, rough = (self._warmed(driven, factor) for factor in (0.0, 1.0))
        return smooth, rough - smooth

    def _warmed(self, driven: Driven, ripple_factor: float) -> Series:
        whole = driven.whole
        standby_a = STANDBY_A if self.evidence.standby_a is None else self.evidence.standby_a
        rows = DriveRows(
            whole.duty, whole.voltage_v, np.maximum(whole.current_a - standby_a, 0.0), whole.head_rad_s * self.ratio
        )
        out = np.empty(whole.time_s.size)
        controller = self.stated_controller._replace(ripple_factor=ripple_factor)
        heat = si.motor_heat(self.machine)
        winding_run(controller, si.motor(self.machine), heat, whole.time_s, rows, self.air_k, out)
        return np.interp(driven.time_s, whole.time_s, out) - self.air_k

    def balances(self) -> tuple[Callable[[Numbers], list[Block]], ...]:
        """Return the balances of this log: drive, each coast-down, pack."""
        coasts = [partial(self._coast, coast, k) for k, coast in enumerate(self.evidence.coasts)]
        return (self._drive, *coasts, self._pack)

    def _own(self, name: str) -> str:
        return f"{name} {self.number}"

    def _drive(self, numbers: Numbers) -> list[Block]:
        driven = self.evidence.driven
        if driven is None or self.warming_k is None:
            return []
        head = driven.head_rad_s + numbers[self._own("speed lag")] * driven.head_rad_s2
        logged_a = driven.current_a + numbers[self._own("current lag")] * driven.current_a_s
        current_a = (logged_a - numbers[self._own("standby")]) * numbers["current_scale"]
        rows = DriveRows(
            driven.duty - numbers["duty_lost"], driven.voltage_v * numbers["voltage_scale"], current_a,
            head * self.ratio,
        )  # fmt: skip
        smooth, rough = self.warming_k
        warmer_k = smooth + max(numbers["controller.ripple_factor"], 0.0) * rough
        over_k = numbers["winding_over_sensor"] if self.evidence.trace.has("motor_temperature_c") else 0.0
        winding_k = self.air_k + numbers["winding_warmth"] * warmer_k + over_k
        controller, motor = self.controller(numbers), self.motor(numbers)
        out = np.empty(driven.time_s.size)
        voltage_gaps(controller, motor, rows, winding_k, out)
        off_share = driven.duty_step / math.sqrt(12.0)
        volts = Block(
            name=self._own("voltage"), left=out, floor=0.001 * float(np.mean(rows.duty * rows.voltage_v)),
            alike=driven.level, common=off_share * rows.voltage_v,
        )  # fmt: skip
        flat = driven.flat & driven.even
        if int(flat.sum()) < FEWEST_WINDOWS or not self.evidence.blades_known:
            return [volts]
        rows = DriveRows(*(column[flat] for column in rows))
        inertia = numbers[self.inertia_key] + numbers["gears.efficiency"] * self.ratio**2 * numbers["motor.inertia"]
        asked = self.driven_load(numbers, head[flat], driven.even_rad_s2[flat]) + inertia * driven.even_rad_s2[flat]
        left = np.empty(rows.duty.size)
        current_gaps(controller, motor, rows, asked / (numbers["gears.efficiency"] * self.ratio), left)
        # In amperes as the sensor says them: scaled noise would pull the scale down.
        left /= numbers["current_scale"]
        torque = Block(
            name=self._own("torque"), left=left, floor=0.01 * float(np.mean(rows.current_a)),
            alike=driven.level[flat], common=off_share * rows.current_a / rows.duty,
        )  # fmt: skip
        return [volts, torque]

    def driven_load(self, numbers: Numbers, speed_rad_s: Series, rate_rad_s2: Series) -> Series:
        """Return what the head asks at flat pitch while the motor drives, N m, its own inertia left out.

        The tail holds what the shaft gives the head, so what speeds the head up as well: a soft start loads it more.
        Shapes: speed_rad_s, rate_rad_s2 (n,) -> (n,).
        Source: Newton's law for rotation, as `flight_step.shaft_reaction`.
        """
        if not self.evidence.blades_on:
            return numbers["gears.drag_torque"] + self._bare(numbers, speed_rad_s)
        grown = self._grown(numbers, speed_rad_s)
        factor, held = self._factor(numbers), np.empty(speed_rad_s.size)
        turning = np.maximum(factor * self.drag.main_nm * grown + numbers[self.inertia_key] * rate_rad_s2, 0.0)
        held_torques(self.drag.tail, speed_rad_s, turning, held)
        blades = factor * self.drag.driven_nm * grown
        return np.asarray(numbers["gears.drag_torque"] + blades + numbers["tail_share"] * held)

    def _factor(self, numbers: Numbers) -> float:
        return numbers["rotor.drag_factor"] * math.exp(numbers[self._own("pitch")])

    def _bare(self, numbers: Numbers, speed_rad_s: Series) -> Series:
        return np.asarray(numbers["bare_drag"] * (speed_rad_s / self.drag.reference_rad_s) ** 2)

    def _grown(self, numbers: Numbers, speed_rad_s: Series) -> Series:
        return np.asarray((speed_rad_s / self.drag.reference_rad_s) ** (self.drag.exponent + numbers["drag_exponent"]))

    def slowing(self, numbers: Numbers) -> Slowing:
        """Return how the head slows down by itself with these numbers."""
        steady = numbers["head_drag_share"] * numbers["gears.drag_torque"]
        blades = self.evidence.blades_on
        drag = self._factor(numbers) * self.drag.coasting_nm if blades else numbers["bare_drag"]
        exponent = self.drag.exponent + numbers["drag_exponent"] if blades else 2.0
        return Slowing(drag, self.drag.reference_rad_s, exponent, steady, numbers[self.inertia_key])

    def _coast(self, coast: Coast, which: int, numbers: Numbers) -> list[Block]:
        out = np.empty(coast.time_s.size)
        coast_run(self.slowing(numbers), numbers[self._own(f"coast {which} from")], coast.time_s, out)
        name = self._own(f"coast {which}")
        return [Block(name=name, left=coast.head_rad_s - out, floor=0.001 * float(np.mean(coast.head_rad_s)))]

    def _pack(self, numbers: Numbers) -> list[Block]:
        rows = self.evidence.pack
        if rows is None:
            return []
        cells = float(self.machine.cells)
        run = PackRun(
            cells, numbers["pack.capacity"], numbers["pack.resistance"],
            numbers["pack.slow_resistance"], numbers["pack.slow_time"],
            numbers["early_share"] * numbers["pack.resistance"], numbers["early_time"], numbers[self._own("charge")],
            cells * numbers[self._own("offset")], cells * numbers[self._own("tilt")], numbers[self._own("lag")],
        )  # fmt: skip
        out = np.empty(rows.time_s.size)
        scale = numbers["current_scale"]
        drawn_a = scale * (rows.current_a - numbers[self._own("zero")])
        pack_run(run, rows.time_s, drawn_a, scale * rows.rate_a_s, out)
        # The voltage's scale is left out: the open-circuit curve of a make is no measure for a sensor.
        left = rows.voltage_v - out - cells * self._other_curve(numbers, rows, drawn_a)
        return [Block(name=self._own("pack"), left=left, floor=0.001 * cells)]

    def _other_curve(self, numbers: Numbers, rows: PackRows, drawn_a: Series) -> Series:
        """Return how much otherwise than ours the curve of this make falls from where it began, V a cell.

        top (s^8 - s0^8) + bend (s0 - s)^2, s by charge counting
        """
        mean_a = 0.5 * (drawn_a[1:] + drawn_a[:-1])
        used = np.concatenate(([0.0], np.cumsum(mean_a * np.diff(rows.time_s)))) / numbers["pack.capacity"]
        first = min(max(numbers[self._own("charge")], 0.0), 1.0)
        charge = np.clip(first - used, 0.0, 1.0)
        top = numbers[self._own("top")] * (charge**TOP_POWER - first**TOP_POWER)
        return np.asarray(top + numbers[self._own("bend")] * (first - charge) ** 2)

    @property
    def inertia_key(self) -> str:
        """Which inertia of the file turned in this log."""
        return "rotor.inertia" if self.evidence.blades_on else "rotor.hub_inertia"

    def motor(self, numbers: Numbers) -> Motor:
        """Return the motor with these numbers."""
        return Motor(
            numbers["motor.kv"], numbers["motor.resistance"], numbers["motor.no_load_current"], self.no_load_rad_s,
            numbers["motor.no_load_speed_share"],
        )  # fmt: skip

    def controller(self, numbers: Numbers) -> Controller:
        """Return the controller with these numbers."""
        return self.stated_controller._replace(
            resistance_ohm=numbers["controller.resistance"],
            ripple_factor=numbers["controller.ripple_factor"],
            freewheel_v=numbers["controller.freewheel_drop"],
        )

    def own_unknowns(self) -> tuple[Unknown, ...]:
        """Return the unknowns that belong to this log alone."""
        pitch_sd = PITCH_SD if self.evidence.flat_deg is not None else BLIND_PITCH_SD
        standby, charge = self.evidence.standby_a, self._first_charge()
        seen_a = STANDBY_A if standby is None else standby
        standby_sd = SEEN_STANDBY_SD_A if standby is not None else STANDBY_A
        own = [
            of_log("charge", self.number, charge, CHARGE_SD),
            of_log("offset", self.number, *self._rest_offset),
            of_log("tilt", self.number, 0.0, TILT_SD_V),
            of_log("top", self.number, 0.0, TOP_SD_V),
            of_log("bend", self.number, 0.0, BEND_SD_V),
            of_log("lag", self.number, 0.0, LAG_SD_S),
            of_log("speed lag", self.number, SENSOR_LAG_S, LAG_SD_S),
            of_log("current lag", self.number, SENSOR_LAG_S, CURRENT_LAG_SD_S),
            of_log("standby", self.number, seen_a, standby_sd),
            of_log("zero", self.number, 0.5 * seen_a, 0.3 * abs(seen_a) + SEEN_STANDBY_SD_A),
            of_log("pitch", self.number, 0.0, pitch_sd),
        ]
        for k, coast in enumerate(self.evidence.coasts):
            first = float(coast.head_rad_s[0])
            own.append(of_log(f"coast {k} from", self.number, first, 0.05 * first))
        return tuple(own)

    @cached_property
    def _rest_offset(self) -> tuple[float, float]:
        """How far a cell of this make rests above our curve and the standard deviation of that, V."""
        value = self.machine.value("pack.cell_rest_offset")
        return (value.si, max(value.spread_si, LEAST_OFFSET_V) / NINETY) if value is not None else (0.0, 1.0)

    def _first_charge(self) -> float:
        rows = self.evidence.pack
        if rows is None:
            return 1.0
        rested = rows.voltage_v[:8] + rows.current_a[:8] * si.number(self.machine, "pack.resistance")
        return charge_at(float(np.median(rested)) / self.machine.cells - self._rest_offset[0])
