"""What is possible but unlikely: a stated value far outside the band of its size class is worth a second look."""

from collections.abc import Iterator

from steadyhead.machine.description import COMMON_PRACTICE, Machine
from steadyhead.machine.keys import Quantity
from steadyhead.machine.typical import BY_SIZE, class_value

TIP_SPEED_BAND = (110.0, 175.0)
"""m/s in hover: common practice, no source."""
CELL_VOLTS = 3.7
"""Middle of a cell's discharge: common practice, no source."""
FAR = 2.0
"""How many half widths of the class band a stated value may lie from its middle before it is remarked."""


def remarks(machine: Machine) -> tuple[str, ...]:
    """Return one sentence for each stated value that looks like a slip; none of them is an error."""
    return (*_out_of_band(machine), *_tip_speeds(machine), *_reach(machine))


def _out_of_band(machine: Machine) -> Iterator[str]:
    for key in BY_SIZE:
        value, declared = machine.value(key), machine.declared(key)
        if value is None or value.is_typical or not isinstance(declared, Quantity):
            continue
        usual = class_value(machine, key)
        if abs(value.si - usual.si) > FAR * usual.spread_si:
            low, high = (declared.kind.number_in(usual.si + s * usual.spread_si, usual.unit) for s in (-1, 1))
            yield (
                f"{key} is {value}: a {machine.size_class} class machine usually has "
                f"{low:.4g} to {high:.4g} {usual.unit} ({COMMON_PRACTICE})"
            )


def _tip_speeds(machine: Machine) -> Iterator[str]:
    radius = machine.rotor.radius
    for mode in machine.flight_mode:
        if radius is None:
            return
        tip = mode.head_speed.si * radius.si
        low, high = TIP_SPEED_BAND
        if not low <= tip <= high:
            yield (
                f"flight mode {mode.name}: {mode.head_speed.number:g} {mode.head_speed.unit} is a tip speed of "
                f"{tip:.0f} m/s, usual is {low:g} to {high:g} m/s ({COMMON_PRACTICE})"
            )


def _reach(machine: Machine) -> Iterator[str]:
    ceiling = machine.motor.kv.si * machine.cells * CELL_VOLTS / machine.gear_ratio
    for mode in machine.flight_mode:
        if mode.head_speed.si > ceiling:
            rpm = ceiling / (mode.head_speed.si / mode.head_speed.number)
            yield (
                f"flight mode {mode.name}: Kv, {machine.cells} cells of {CELL_VOLTS:g} V and a gear ratio of "
                f"{machine.gear_ratio:.4g} reach {rpm:.0f} {mode.head_speed.unit} without any load, "
                f"less than the {mode.head_speed.number:g} {mode.head_speed.unit} asked for"
            )
