"""A plain twin of the drive: written from the equations, slow, and knowing nothing of the package.

Where the kernels halve a bracket, this one substitutes until nothing moves; where they solve heat in closed form, this
one takes small steps.
"""

import math
from dataclasses import dataclass


@dataclass
class TwinDrive:
    """One motor, controller and source in SI; winding resistance already warm."""

    kv: float
    winding_ohm: float
    no_load_a: float
    no_load_speed: float
    no_load_share: float
    controller_ohm: float
    switching_hz: float
    switching_s: float
    ripple: float
    freewheel_v: float
    open_v: float
    source_ohm: float

    def friction_current(self, speed: float) -> float:
        share = self.no_load_share
        return self.no_load_a * (1 - share) + self.no_load_a * share * speed / self.no_load_speed

    def losses_at(self, volts: float, duty: float, amps: float) -> dict[str, float]:
        """Every loss in the controller and the ripple loss, W."""
        chopping = min((1 - duty) / 0.05, 1.0)
        return {
            "conduction": amps**2 * self.controller_ohm,
            "switching": volts * amps * self.switching_hz * self.switching_s * chopping,
            "freewheel": self.freewheel_v * amps * (1 - duty),
            "ripple": 2.5 * self.ripple * volts * self.friction_current(self.kv * volts) * duty * (1 - duty),
        }

    def hold(self, torque: float, speed: float) -> dict[str, float]:
        """Duty, pack volts and amps that hold a torque at a speed, by power balance at the pack's terminals."""
        amps = torque * self.kv + self.friction_current(speed)
        motor_v = speed / self.kv + amps * self.winding_ohm
        volts = self.open_v
        for _ in range(20000):
            mean_v = motor_v + amps * self.controller_ohm
            duty = (mean_v + self.freewheel_v) / (volts + self.freewheel_v)
            lost = self.losses_at(volts, duty, amps)
            power = motor_v * amps + sum(lost.values())
            wanted = self.open_v - self.source_ohm * power / volts
            if abs(wanted - volts) < 1e-13 * self.open_v:
                break
            volts += 0.5 * (wanted - volts)
        return {"duty": duty, "amps": amps, "pack_v": volts, "pack_a": power / volts}

    def ceiling(self, torque: float, speed: float, exponent: float) -> float:
        """Speed at full duty under a load that is `torque` at `speed`, by interval thirds."""
        low, high = 0.0, self.kv * self.open_v
        series = self.source_ohm + self.controller_ohm + self.winding_ohm
        while high - low > 1e-10 * high:
            at = low + (high - low) / 3.0
            amps = self.kv * torque * (at / speed) ** exponent + self.friction_current(at)
            if self.open_v - amps * series > at / self.kv:
                low = at
            else:
                high = at
        return 0.5 * (low + high)


def two_nodes_by_steps(
    nodes: tuple[float, float, float, float], amps: float, ohm_20c: float, iron_w: float, air_k: float, held_s: float
) -> tuple[float, float]:
    """Winding and case temperature by the middle-step rule; nodes: J/K, K/W to case, J/K, K/W to air."""
    winding_j_k, to_case, case_j_k, to_air = nodes
    steps = 20000
    step = held_s / steps
    winding = case = air_k

    def rates(w: float, c: float) -> tuple[float, float]:
        copper = amps**2 * ohm_20c * (1 + 0.00393 * (w - 293.15))
        across = (w - c) / to_case
        return (copper - across) / winding_j_k, (iron_w + across - (c - air_k) / to_air) / case_j_k

    for _ in range(steps):
        dw, dc = rates(winding, case)
        dw, dc = rates(winding + 0.5 * step * dw, case + 0.5 * step * dc)
        winding, case = winding + step * dw, case + step * dc
    if not math.isfinite(winding):
        raise ValueError("the twin's step is too long")
    return winding, case
