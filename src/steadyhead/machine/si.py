"""The only bridge from values with spread to the bare SI numbers that kernels take."""

from math import nan, radians

from steadyhead.machine.description import Machine
from steadyhead.physics.air import Air
from steadyhead.physics.controller import Controller
from steadyhead.physics.gears import Gears
from steadyhead.physics.governor import Governor
from steadyhead.physics.heat import ControllerHeat, MotorHeat
from steadyhead.physics.lewis import Mesh
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Pack
from steadyhead.physics.rotor import Rotor
from steadyhead.physics.section import Section
from steadyhead.physics.tail import Tail
from steadyhead.words.errors import InputError


def number(machine: Machine, key: str) -> float:
    """Return one value in SI.

    Raises: InputError when the machine does not say it and there is no typical one.
    """
    value = machine.value(key)
    if value is None:
        raise InputError(f"machine {machine.name}, {key}", read="nothing", right="a value in the machine file")
    return value.si


def rotor(machine: Machine) -> Rotor:
    """Return the main rotor, SI."""
    return Rotor(
        blades=number(machine, "rotor.blades"),
        radius_m=number(machine, "rotor.radius"),
        root_cutout_m=number(machine, "rotor.root_cutout"),
        chord_m=number(machine, "rotor.chord"),
        twist_rad=number(machine, "rotor.twist"),
    )


def tail(machine: Machine) -> Tail:
    """Return the tail rotor with its drive and arm, SI; tail blades have no twist."""
    blades = Rotor(
        blades=number(machine, "tail.blades"),
        radius_m=number(machine, "tail.radius"),
        root_cutout_m=number(machine, "tail.root_cutout"),
        chord_m=number(machine, "tail.chord"),
        twist_rad=0.0,
    )
    return Tail(rotor=blades, ratio=number(machine, "tail.ratio"), arm_m=number(machine, "tail.arm"))


def gears(machine: Machine) -> Gears:
    """Return both gear stages as one, SI."""
    return Gears(
        ratio=machine.gear_ratio,
        efficiency=number(machine, "gears.efficiency"),
        drag_torque_nm=number(machine, "gears.drag_torque"),
    )


def mesh(machine: Machine) -> Mesh:
    """Return the mesh of pinion and main gear, SI; module and width are no number where nobody stated them."""
    module, face = machine.value("gears.module"), machine.value("gears.face_width")
    return Mesh(
        pinion_teeth=number(machine, "gears.pinion_teeth"),
        gear_teeth=number(machine, "gears.main_gear_teeth"),
        module_m=module.si if module else nan,
        face_m=face.si if face else nan,
    )


def motor(machine: Machine) -> Motor:
    """Return the motor, SI.

    The speed of the no-load reading: w = kv * (V - I0 * R).
    """
    kv, resistance = number(machine, "motor.kv"), number(machine, "motor.resistance")
    current, voltage = number(machine, "motor.no_load_current"), number(machine, "motor.no_load_voltage")
    back_emf_v = max(voltage - current * resistance, 0.1 * voltage)
    return Motor(
        kv_rad_s_v=kv,
        resistance_20c_ohm=resistance,
        no_load_a=current,
        no_load_speed_rad_s=kv * back_emf_v,
        no_load_speed_share=number(machine, "motor.no_load_speed_share"),
    )


def controller(machine: Machine) -> Controller:
    """Return the speed controller, SI."""
    return Controller(
        resistance_ohm=number(machine, "controller.resistance"),
        switching_hz=number(machine, "controller.switching_frequency"),
        switching_loss_s=number(machine, "controller.switching_loss_time"),
        ripple_factor=number(machine, "controller.ripple_factor"),
        freewheel_v=number(machine, "controller.freewheel_drop"),
    )


def pack(machine: Machine) -> Pack:
    """Return the flight pack, SI."""
    return Pack(
        cells=float(machine.cells),
        capacity_as=number(machine, "pack.capacity"),
        resistance_25c_ohm=number(machine, "pack.resistance"),
        slow_resistance_25c_ohm=number(machine, "pack.slow_resistance"),
        slow_time_s=number(machine, "pack.slow_time"),
        cell_rest_offset_v=number(machine, "pack.cell_rest_offset"),
    )


def motor_heat(machine: Machine) -> MotorHeat:
    """Return the motor's heat nodes, SI."""
    return MotorHeat(
        winding_j_k=number(machine, "motor.winding_heat_capacity"),
        winding_to_case_k_w=number(machine, "motor.winding_to_case"),
        case_j_k=number(machine, "motor.case_heat_capacity"),
        case_to_air_k_w=number(machine, "motor.case_to_air"),
    )


def controller_heat(machine: Machine) -> ControllerHeat:
    """Return the controller's heat node, SI."""
    return ControllerHeat(
        body_j_k=number(machine, "controller.heat_capacity"),
        body_to_air_k_w=number(machine, "controller.to_air"),
    )


def governor(machine: Machine) -> Governor:
    """Return the governor, SI; its feed-forward is stated for 10 degrees of collective."""
    gain = number(machine, "governor.gain")
    return Governor(
        sample_s=1.0 / number(machine, "governor.rate"),
        gain=gain,
        gain_per_s=gain / number(machine, "governor.integral_time"),
        gain_s=gain * number(machine, "governor.derivative_time"),
        collective_duty_per_rad=number(machine, "governor.collective_feed") / radians(10.0),
        speed_duty_s_rad=0.0,
        duty_low=number(machine, "governor.duty_low"),
        duty_high=number(machine, "governor.duty_high"),
        filter_s=number(machine, "governor.filter_time"),
        sensor_step_rad_s=number(machine, "governor.sensor_step"),
        sensor_delay_s=number(machine, "governor.sensor_delay"),
        set_rate_per_s=number(machine, "governor.set_rate"),
    )


def air(machine: Machine) -> Air:
    """Return the air at the site; a measured pressure overrides the elevation."""
    from steadyhead.physics.air import air_at, standard_air

    temperature_k = number(machine, "site.temperature")
    if machine.site.pressure is not None:
        return air_at(machine.site.pressure.si, temperature_k)
    return standard_air(number(machine, "site.elevation"), temperature_k)


def section(machine: Machine) -> Section:
    """Return the bundled blade section with this machine's doubt on lift and drag."""
    from steadyhead.physics.section import model_section

    return model_section(
        lift_factor=number(machine, "rotor.lift_factor"), drag_factor=number(machine, "rotor.drag_factor")
    )
