"""One operating point of any motor, controller and supply, in trade units: for drives from outside."""

import math
from dataclasses import dataclass

from steadyhead.physics.at_duty import point_at_duty, settled_at_duty
from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DRIVE_STOP_SAYS, DrivePoint, DriveStop, Load, drive_at, point_from
from steadyhead.physics.feed import fed_voltage
from steadyhead.physics.motor import Motor, speed_at
from steadyhead.physics.pack import Pack, Source, pack_source
from steadyhead.words.errors import InputError

RAD_S_PER_RPM = math.pi / 30.0
ZERO_CELSIUS_K = 273.15


@dataclass(frozen=True, kw_only=True)
class MotorConstants:
    """A motor by Kv, resistance (terminal to terminal, at 20 C) and no-load current.

    As it stands the no-load current is the same at every speed, the three-constant motor of textbooks. With
    `no_load_speed_share` above 0, that share of it grows with speed from `no_load_voltage_v`, where it was read.
    """

    kv_rpm_per_v: float
    resistance_ohm: float
    no_load_current_a: float
    no_load_speed_share: float = 0.0
    no_load_voltage_v: float | None = None
    winding_temperature_c: float = 20.0


@dataclass(frozen=True, kw_only=True)
class ControllerConstants:
    """A speed controller; as it stands ideal, without loss. `ripple_factor` 1 is the typical part-duty loss."""

    resistance_ohm: float = 0.0
    switching_khz: float = 0.0
    switching_loss_us: float = 0.0
    ripple_factor: float = 0.0
    freewheel_drop_v: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Supply:
    """One voltage behind one resistance: a bench supply (0 ohm), or a pack seen at one charge and temperature."""

    voltage_v: float
    resistance_ohm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class PackSupply:
    """A lithium-polymer pack at a charge (0 to 1) and temperature, the load held for `held_s`; resistances at 25 C."""

    cells: int
    resistance_ohm: float
    charge: float
    temperature_c: float = 25.0
    slow_resistance_ohm: float = 0.0
    slow_time_s: float = 20.0
    held_s: float = 0.0


@dataclass(frozen=True, kw_only=True)
class LoadLaw:
    """A load at the motor shaft: torque at a speed, growing with a power of speed: 2 for a rotor, 0 constant."""

    torque_nm: float
    at_rpm: float
    exponent: float = 2.0


@dataclass(frozen=True, kw_only=True)
class DriveFigures:
    """One steady point of a drive. Efficiencies are 0 to 1, null where no power flows.

    With `held` true, pack power = shaft power + the six losses of motor and controller; `pack_loss_w` is inside the
    pack, behind that. With `held` false the drive does not reach the point: duty is what would be needed.
    """

    held: bool
    says: str
    duty: float
    motor_rpm: float
    torque_nm: float
    shaft_power_w: float
    motor_current_a: float
    motor_voltage_v: float
    pack_current_a: float
    pack_voltage_v: float
    pack_power_w: float
    copper_loss_w: float
    iron_loss_w: float
    ripple_loss_w: float
    conduction_loss_w: float
    switching_loss_w: float
    freewheel_loss_w: float
    pack_loss_w: float
    motor_efficiency: float
    efficiency: float


IDEAL = ControllerConstants()

ASKS = (
    "two of: torque_nm and motor_speed_rpm; duty and motor_speed_rpm; duty and torque_nm; duty and motor_current_a; "
    "or duty and load"
)


def drive_point(
    motor: MotorConstants,
    supply: Supply | PackSupply,
    controller: ControllerConstants = IDEAL,
    *,
    torque_nm: float | None = None,
    motor_speed_rpm: float | None = None,
    duty: float | None = None,
    motor_current_a: float | None = None,
    load: LoadLaw | None = None,
) -> DriveFigures:
    """Return duty, speed, torque, currents, voltages and losses of a drive at one steady point.

    Give torque and speed for the duty that holds them; duty and speed for the torque; duty and torque, current or load
    law for the speed it comes to.
    Valid: as `physics.drive.drive_at`; the motor is not braked, so its current never runs backwards.
    Raises: InputError naming the argument, what was read and what would be right.
    Source: first-order motor, chopper and pack; see docs/physics-drive.md.
    """
    given = {
        name
        for name, number in (
            ("torque_nm", torque_nm),
            ("motor_speed_rpm", motor_speed_rpm),
            ("duty", duty),
            ("motor_current_a", motor_current_a),
            ("load", load),
        )
        if number is not None
    }
    parts = (_motor(motor), _controller(controller), _source(supply))
    winding_k = _finite("winding_temperature_c", motor.winding_temperature_c) + ZERO_CELSIUS_K
    if given == {"torque_nm", "motor_speed_rpm"} and torque_nm is not None and motor_speed_rpm is not None:
        speed = _not_below_zero("motor_speed_rpm", motor_speed_rpm) * RAD_S_PER_RPM
        return _figures(drive_at(*parts, _not_below_zero("torque_nm", torque_nm), speed, winding_k))
    if duty is None or len(given) != 2:
        raise InputError("drive_point", read=", ".join(sorted(given)) or "nothing", right=ASKS)
    share = _share("duty", duty)
    if motor_speed_rpm is not None:
        speed = _not_below_zero("motor_speed_rpm", motor_speed_rpm) * RAD_S_PER_RPM
        return _figures(point_at_duty(*parts, share, speed, winding_k))
    if motor_current_a is not None:
        return _at_current(parts, share, _not_below_zero("motor_current_a", motor_current_a), winding_k)
    law = load if load is not None else LoadLaw(torque_nm=torque_nm or 0.0, at_rpm=1000.0, exponent=0.0)
    asked = Load(
        _not_below_zero("torque_nm", law.torque_nm),
        _above_zero("at_rpm", law.at_rpm) * RAD_S_PER_RPM,
        _not_below_zero("exponent", law.exponent),
    )
    return _figures(settled_at_duty(*parts, asked, share, winding_k))


def _at_current(
    parts: tuple[Motor, Controller, Source], duty: float, current_a: float, winding_k: float
) -> DriveFigures:
    """Return the point of a motor current at a duty: the speed follows from the voltage left.

    w = kv (d v - (1 - d) v_freewheel - i (r + r_controller))
    """
    motor, controller, source = parts
    voltage = fed_voltage(motor, controller, source, current_a, duty)
    mean = duty * voltage - (1.0 - duty) * controller.freewheel_v - current_a * controller.resistance_ohm
    speed = speed_at(motor, mean, current_a, winding_k)
    if speed < 0.0:
        right = "a current that this voltage can drive with the shaft turning"
        raise InputError("drive_point, motor_current_a", read=f"{current_a:g}", right=right)
    return _figures(point_from(motor, controller, source, 0, duty, current_a, speed, winding_k))


def _figures(point: DrivePoint) -> DriveFigures:
    electric = point.motor_voltage_v * point.motor_current_a
    return DriveFigures(
        held=point.code in (DriveStop.DONE, DriveStop.IDLING),
        says=DRIVE_STOP_SAYS[DriveStop(point.code)],
        duty=point.duty,
        motor_rpm=point.motor_speed_rad_s / RAD_S_PER_RPM,
        torque_nm=point.motor_torque_nm,
        shaft_power_w=point.shaft_power_w,
        motor_current_a=point.motor_current_a,
        motor_voltage_v=point.motor_voltage_v,
        pack_current_a=point.pack_current_a,
        pack_voltage_v=point.pack_voltage_v,
        pack_power_w=point.pack_power_w,
        copper_loss_w=point.copper_loss_w,
        iron_loss_w=point.iron_loss_w,
        ripple_loss_w=point.ripple_loss_w,
        conduction_loss_w=point.conduction_loss_w,
        switching_loss_w=point.switching_loss_w,
        freewheel_loss_w=point.freewheel_loss_w,
        pack_loss_w=point.pack_loss_w,
        motor_efficiency=point.shaft_power_w / electric if electric > 0.0 else math.nan,
        efficiency=point.shaft_power_w / point.pack_power_w if point.pack_power_w > 0.0 else math.nan,
    )


def _motor(given: MotorConstants) -> Motor:
    kv = _above_zero("kv_rpm_per_v", given.kv_rpm_per_v) * RAD_S_PER_RPM
    resistance = _above_zero("resistance_ohm", given.resistance_ohm)
    current = _not_below_zero("no_load_current_a", given.no_load_current_a)
    share = _share("no_load_speed_share", given.no_load_speed_share)
    if share == 0.0:
        return Motor(kv, resistance, current, 1.0, 0.0)
    if given.no_load_voltage_v is None:
        right = "the voltage at which the no-load current was read"
        raise InputError("drive, no_load_voltage_v", read="nothing", right=right)
    speed = kv * (_above_zero("no_load_voltage_v", given.no_load_voltage_v) - current * resistance)
    return Motor(kv, resistance, current, _above_zero("no_load_voltage_v less current times resistance", speed), share)


def _controller(given: ControllerConstants) -> Controller:
    return Controller(
        resistance_ohm=_not_below_zero("controller resistance_ohm", given.resistance_ohm),
        switching_hz=_not_below_zero("switching_khz", given.switching_khz) * 1e3,
        switching_loss_s=_not_below_zero("switching_loss_us", given.switching_loss_us) * 1e-6,
        ripple_factor=_not_below_zero("ripple_factor", given.ripple_factor),
        freewheel_v=_not_below_zero("freewheel_drop_v", given.freewheel_drop_v),
    )


def _source(given: Supply | PackSupply) -> Source:
    if isinstance(given, Supply):
        return Source(
            _above_zero("voltage_v", given.voltage_v), _not_below_zero("supply resistance_ohm", given.resistance_ohm)
        )
    pack = Pack(
        cells=_above_zero("cells", float(given.cells)),
        capacity_as=1.0,
        resistance_25c_ohm=_not_below_zero("pack resistance_ohm", given.resistance_ohm),
        slow_resistance_25c_ohm=_not_below_zero("slow_resistance_ohm", given.slow_resistance_ohm),
        slow_time_s=_above_zero("slow_time_s", given.slow_time_s),
    )
    temperature_k = _above_zero("temperature_c above absolute zero", given.temperature_c + ZERO_CELSIUS_K)
    return pack_source(pack, _share("charge", given.charge), temperature_k, _not_below_zero("held_s", given.held_s))


def _finite(name: str, number: float) -> float:
    if not math.isfinite(number):
        raise InputError(f"drive, {name}", read=f"{number}", right="a number")
    return float(number)


def _above_zero(name: str, number: float) -> float:
    if not (math.isfinite(number) and number > 0.0):
        raise InputError(f"drive, {name}", read=f"{number:g}", right="a number above zero")
    return float(number)


def _not_below_zero(name: str, number: float) -> float:
    if not (math.isfinite(number) and number >= 0.0):
        raise InputError(f"drive, {name}", read=f"{number:g}", right="a number from zero up")
    return float(number)


def _share(name: str, number: float) -> float:
    if not 0.0 <= number <= 1.0:
        raise InputError(f"drive, {name}", read=f"{number:g}", right="a share from 0 to 1")
    return float(number)
