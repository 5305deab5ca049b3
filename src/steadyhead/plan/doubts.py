"""Which unknown matters most: the inputs that carry the doubt, and what to measure to be rid of it."""

from collections.abc import Mapping

from steadyhead.plan.result import Doubt
from steadyhead.words.value import Value

LEAST_SHARE = 0.03
"""Inputs that carry less of the doubt than this are not worth a sentence."""
MOST_NAMED = 5

MEASURES = {
    "airframe.mass": "weigh the machine ready to fly, pack included",
    "airframe.drag_area": "log a fast straight pass: it fits the drag area",
    "rotor.radius": "measure the rotor diameter, tip to tip",
    "rotor.blade_length": "measure a blade, root hole to tip",
    "rotor.chord": "measure the blade chord",
    "rotor.root_cutout": "measure from the shaft to where the blade section begins",
    "rotor.inertia": "weigh the main blades and measure their length: both give the rotor's inertia",
    "rotor.collective_max": "measure the full collective with a pitch gauge",
    "rotor.lift_factor": "log a hover with head speed and collective: it fits the lift of the blade section",
    "rotor.drag_factor": "log a hover with pack voltage and current: it fits the drag of the blade section",
    "tail.radius": "measure the tail rotor diameter",
    "tail.chord": "measure the tail blade chord",
    "tail.root_cutout": "measure from the tail shaft to where the blade section begins",
    "rotor.twist": "measure the blade's pitch at the root and at the tip",
    "pack.slow_time": "log a hover after a rest: it fits how fast the pack sags",
    "pack.cell_rest_offset": "let the pack rest at half its charge, by charge counted, and read a cell's voltage",
    "tail.ratio": "count the teeth of the tail drive",
    "tail.arm": "measure from the main shaft to the tail shaft",
    "gears.efficiency": "log a hover with pack voltage and current: it fits the loss in the gears",
    "gears.drag_torque": "time the coast-down with the blades off: it fits the gear drag",
    "motor.kv": "measure Kv: spin the motor at a known speed and read the voltage between two leads",
    "motor.resistance": "measure the winding resistance between two leads with a milliohm meter",
    "motor.no_load_current": "read the motor's no-load current at a known voltage, pinion off",
    "motor.no_load_voltage": "read the voltage at which the motor's no-load current was taken",
    "motor.no_load_speed_share": "read the motor's no-load current at two voltages, pinion off",
    "motor.winding_heat_capacity": "ask the maker for the mass of copper in the motor",
    "motor.winding_to_case": "ask the maker how the motor passes its heat on",
    "motor.case_heat_capacity": "weigh the motor",
    "motor.case_to_air": "measure the motor's temperature at once after a flight: it fits how the motor cools",
    "controller.switching_frequency": "look up the controller's switching frequency",
    "controller.switching_loss_time": "ask the controller's maker for its switching loss",
    "controller.freewheel_drop": "look up whether the controller freewheels through its transistors",
    "controller.heat_capacity": "weigh the controller with its heat sink",
    "controller.to_air": "read the controller's temperature after a flight: it fits how the controller cools",
    "controller.resistance": "look up the controller's resistance with its maker",
    "controller.ripple_factor": "log the same hover at two head speeds: it fits the part-duty loss",
    "pack.resistance": "measure the pack's resistance with the charger, warm",
    "pack.slow_resistance": "log a hover from full to reserve: it fits the pack's slow sag",
    "pack.capacity": "time a full charge: it tells the capacity left",
    "site.temperature": "read the air temperature at the field",
    "site.elevation": "look up the height of the field",
    "site.pressure": "read the air pressure at the field",
}


def doubts_on(figure: str, shares: Mapping[str, float], values: Mapping[str, Value]) -> tuple[Doubt, ...]:
    """Return the inputs that carry the doubt on `figure`, the largest first, each with what would settle it.

    `shares` are parts of the variance, 0 to 1, the largest first; `values` the inputs by key.
    """
    named = [(key, share) for key, share in shares.items() if share >= LEAST_SHARE][:MOST_NAMED]
    return tuple(
        Doubt(
            key=key,
            origin=str(values[key].origin),
            figure=figure,
            share=share,
            sentence=f"{measure(key)}: {key} carries {100.0 * share:.0f} % of the doubt on {figure}",
        )
        for key, share in named
    )


def measure(key: str) -> str:
    """Return what to do at the bench or the field to know `key` better."""
    return MEASURES.get(key, f"find out {key.replace('.', ' ').replace('_', ' ')}")
