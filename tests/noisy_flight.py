"""Simulated flights of machines drawn from a machine file's own doubt, logged by sensors that lag, err and round.

Every number here is invented. What is drawn is as wide as `learn` says it doubts it; the fit sees the log alone.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from steadyhead.flight.engine import flown
from steadyhead.flight.replay import charge_at
from steadyhead.flight.scenario_file import scenario_from_text
from steadyhead.learn.unknowns import BESIDE, LEARNED, NINETY, TAKEN, unknown_of_key
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.pack import cell_open_circuit, temperature_factor
from steadyhead.trace.trace import Series, Trace

WIDE = {"pack.resistance": 0.35, "pack.slow_resistance": 0.3, "pack.slow_time": 0.3, "motor.resistance": 0.15}
"""Standard deviation of the logarithm, where the truth is drawn wider than the file doubts it: worn packs."""
ALSO = ("motor.winding_heat_capacity", "motor.winding_to_case", "motor.case_to_air")


@dataclass(frozen=True)
class Truth:
    """A machine drawn, and its log."""

    machine: Machine
    trace: Trace
    clean: Trace
    """The same flight before any sensor."""


def drawn(machine: Machine, rng: np.random.Generator) -> Machine:
    """Return a machine drawn from what the owner and `learn` doubt."""
    numbers = {}
    for key in (*LEARNED, *TAKEN, *ALSO):
        if key in ALSO:
            value = machine.value(key)
            numbers[key] = value.si + value.spread_si / NINETY * rng.normal()
            continue
        known = unknown_of_key(machine, key, known=True)
        sd = WIDE.get(key, min(known.sd, 0.25))
        numbers[key] = known.value(known.centre + sd * rng.normal())
        if key in ("controller.ripple_factor", "controller.freewheel_drop"):
            numbers[key] = abs(numbers[key])
    for key in ("governor.gain", "governor.integral_time"):
        numbers[key] = machine.value(key).si * math.exp(0.25 * rng.normal())
    numbers["pack.warm"] = machine.value("site.temperature").si + 8.0 + 10.0 / NINETY * rng.normal()
    return machine.replaced(numbers)


def flight_text(rng: np.random.Generator) -> str:
    """Return a scenario: soft start, running on the ground in two modes, a flight nobody knows before, coast-down."""
    moves = []
    for _ in range(int(rng.integers(4, 8))):
        kind = rng.choice(["climb", "cyclic", "hover", "pump"])
        if kind == "climb":
            pitch = f'collective = "{rng.uniform(7, 11.5):.1f} deg"'
            moves.append(f'do = "climb"\n{pitch}\nfor = "{rng.uniform(2, 4):.1f} s"')
            moves.append('do = "hover"\nheight = "40 m"\nfor = "9 s"')
        elif kind == "cyclic":
            moves.append(f'do = "cyclic"\nload_factor = {rng.uniform(1.3, 2.5):.2f}\nperiod = "1.5 s"\nfor = "5 s"')
            moves.append('do = "hover"\nheight = "30 m"\nfor = "8 s"')
        elif kind == "pump":
            low, high = rng.uniform(-6, 0), rng.uniform(8, 11)
            moves.append(
                f'do = "pump"\nlow = "{low:.1f} deg"\ncollective = "{high:.1f} deg"\nperiod = "1 s"\nfor = "3 s"'
            )
            moves.append('do = "hover"\nheight = "25 m"\nfor = "8 s"')
        else:
            moves.append(f'do = "hover"\nheight = "{rng.uniform(3, 25):.1f} m"\nfor = "8 s"')
    ground = ['do = "wait"\nfor = "3 s"', 'do = "wait"\nswitch = "mode 1"\nfor = "25 s"']
    ground += ['do = "wait"\nswitch = "mode 2"\nfor = "8 s"'] if rng.random() < 0.5 else []
    end = ['do = "land"\nfor = "24 s"', 'do = "collective"\ncollective = "0 deg"\nover = "0.5 s"\nfor = "6 s"']
    end += ['do = "wait"\nswitch = "hold"\nfor = "25 s"']
    steps = "\n".join(f"\n[[step]]\n{step}" for step in [*ground, *moves, *end])
    return f'name = "drawn"\nsays = "invented"\nswitch = "hold"\ncharge = {rng.uniform(0.8, 1.0):.3f}\n{steps}\n'


COAST_TEXT = """name = "coast-down"
says = "invented: on the ground at flat pitch, two speeds, two coast-downs"
switch = "hold"
""" + "".join(
    f'\n[[step]]\ndo = "wait"\nswitch = "{switch}"\nfor = "{seconds} s"\n'
    for switch, seconds in (("hold", 3), ("mode 3", 32), ("hold", 30), ("mode 1", 30), ("hold", 30))
)


def logged(real: Machine, trace: Trace, rng: np.random.Generator, *, blades: bool = True) -> Trace:
    """Return a trace as sensors and a logger write it down.

    A share of the standby current is real, 0 to 1: it empties the pack and pulls its voltage down; the rest is the zero
    of the sensor.
    """
    pack_k = real.value("pack.warm").si
    rate = float(rng.choice([20.0, 25.0, 50.0]))
    time_s = np.arange(0.0, trace.duration_s, 1.0 / rate)
    volt_scale, ampere_scale = (1.0 / (BESIDE[k][0] + BESIDE[k][1] / NINETY * rng.normal()) for k in
                                ("voltage_scale", "current_scale"))  # fmt: skip
    lag, delay, standby = rng.uniform(0.01, 0.06), rng.uniform(0.0, 0.04), rng.uniform(0.2, 0.5)

    def seen(name: str, low_pass_s: float, delay_s: float, noise: float, step: float) -> Series:
        slow = low_passed(trace.time_s, trace.channels[name], low_pass_s)
        values = np.interp(time_s - delay_s, trace.time_s, slow)
        return np.round((values + noise * rng.normal(size=time_s.size)) / step) * step

    current = low_passed(trace.time_s, trace.channels["pack_current_a"], rng.uniform(0.02, 0.07)) + standby
    amperes = np.interp(time_s, trace.time_s, current) * ampere_scale + 0.3 * rng.normal(size=time_s.size)
    volts = seen("pack_voltage_v", rng.uniform(0.01, 0.03), 0.0, 0.02, 0.001) + drained_v(
        real, trace, time_s, standby * rng.random()
    )
    volts = volts * volt_scale
    channels = {
        "throttle_percent": seen("throttle_percent", 0.0, 0.0, 0.0, 0.1),
        "duty": np.clip(seen("duty", 0.0, 0.0, 0.0, float(rng.choice([0.001, 0.005, 0.01]))), 0.0, 1.0),
        "pack_voltage_v": np.round(volts, 2),
        "pack_current_a": np.maximum(np.round(amperes, 1), 0.0),
        "head_speed_rpm": seen("head_speed_rpm", lag, delay, 1.5, 1.0),
    }
    if rng.random() < 0.5:
        channels["motor_side_speed_rpm"] = seen("motor_side_speed_rpm", lag, delay, 1.5, 1.0)
    if blades:
        channels["collective_deg"] = seen("collective_deg", 0.0, 0.0, 0.0, 0.1) + 0.25 / NINETY * rng.normal()
        channels["height_m"] = seen("height_m", 0.25, 0.1, 0.2, 0.1)
    if rng.random() < 0.5:
        channels["pack_temperature_c"] = np.full(time_s.size, pack_k - 273.15 + 2.0 / NINETY * rng.normal())
    return replace(
        trace, source="drawn.csv", time_s=time_s, channels=channels, rows_read=time_s.size, row=np.arange(time_s.size)
    )


def drained_v(real: Machine, trace: Trace, time_s: Series, drain_a: float) -> Series:
    """Return what a steady further current does to the pack voltage, V, to first order. Shapes: time_s (n,) -> (n,)."""
    pack, warm = si.pack(real), temperature_factor(real.value("pack.warm").si)
    used = np.interp(time_s, trace.time_s, trace.channels["charge_used_mah"]) * 3.6 / pack.capacity_as
    begun = charge_at(float(trace.channels["pack_voltage_v"][0]) / pack.cells)
    drop = [cell_open_circuit(begun - u - drain_a * t / pack.capacity_as) - cell_open_circuit(begun - u)
            for u, t in zip(used, time_s, strict=True)]  # fmt: skip
    slow = 1.0 - np.exp(-time_s / pack.slow_time_s)
    ohm = warm * (pack.resistance_25c_ohm + pack.slow_resistance_25c_ohm * slow)
    return pack.cells * np.array(drop) - drain_a * ohm


def low_passed(time_s: Series, values: Series, lag_s: float) -> Series:
    """Return values behind a first-order lag. Shapes: (n,), (n,) -> (n,)."""
    if lag_s <= 0.0:
        return values
    from scipy.signal import lfilter

    share = -math.expm1(-float(np.median(np.diff(time_s))) / lag_s)
    return lfilter([share], [1.0, share - 1.0], values, zi=[(1.0 - share) * values[0]])[0]


def noisy_flight(machine: Machine, seed: int, *, text: str | None = None) -> Truth:
    """Return a machine drawn with this seed and the log of its flight."""
    rng = np.random.default_rng(seed)
    real = drawn(machine, rng)
    scenario = scenario_from_text(text or flight_text(rng), "drawn.toml")
    flight = flown(real, scenario)
    return Truth(real, logged(real, flight.trace, rng, blades=scenario.blades), flight.trace)


def governed_flight(machine: Machine, seed: int) -> Truth:
    """Return a machine whose governor does not act ahead of the collective, drawn wide, and the log of its flight."""
    rng = np.random.default_rng(seed)
    numbers = {
        "governor.collective_feed": 0.0,
        "governor.gain": 1.5 * math.exp(0.35 * rng.normal()),
        "governor.integral_time": 0.35 * math.exp(0.35 * rng.normal()),
        "governor.rate": float(rng.choice([50.0, 125.0, 250.0])),
        "governor.filter_time": float(rng.uniform(0.002, 0.03)),
        "governor.sensor_delay": float(rng.uniform(0.002, 0.02)),
    }
    real = drawn(machine, rng).replaced(numbers)
    flight = flown(real, scenario_from_text(flight_text(rng), "drawn.toml"))
    return Truth(real, logged(real, flight.trace, rng), flight.trace)
