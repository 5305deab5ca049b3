"""The throttle channel of a machine file, as plain numbers; and the readings written in it."""

import math

from steadyhead.channel.pulse import Pulse
from steadyhead.channel.result import MOTOR_SIDE, Reading
from steadyhead.channel.setting import ChannelSetting, Doubted, Mode
from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Quantity
from steadyhead.words.errors import InputError
from steadyhead.words.value import Value

US = 1e6
PERCENT = 100.0
RPM = 60.0 / (2.0 * math.pi)
DIGITS = 9


def channel_setting(machine: Machine) -> ChannelSetting:
    """Return what the channel room needs of a machine.

    Valid: a machine as its reader lets it through: ends the right way round.
    Raises: InputError when a quantity that every channel has is missing.
    """
    limit = machine.limit("limits.head_speed_max")
    prompt = machine.limit("limits.restart_prompt")
    band = machine.limit("limits.steady_band")
    return ChannelSetting(
        pulse=_pulse(machine),
        learned_low_us=_doubted(machine.value("channel.learned_low"), US),
        learned_high_us=_doubted(machine.value("channel.learned_high"), US),
        cut_off_percent=_doubted(machine.value("channel.cut_off"), PERCENT),
        start_percent=_doubted(machine.value("channel.start"), PERCENT),
        ramp_rate_percent_s=_doubted(machine.value("channel.ramp_rate"), PERCENT),
        controller_wait_s=_figure(machine.value("run_logic.start_delay"), 1.0),
        hold_percent=_figure(machine.value("channel.hold"), PERCENT),
        hold_is_stated=_is_stated(machine.value("channel.hold")),
        autorotation_percent=_figure(machine.value("channel.autorotation"), PERCENT),
        modes=tuple(
            Mode(mode.name, _plain(mode.head_speed.si * RPM), _figure(mode.channel, PERCENT))
            for mode in machine.flight_mode
        ),
        head_speed_max_rpm=_figure(machine.value("limits.head_speed_max"), RPM),
        head_speed_max_origin=limit.origin if limit else "",
        restart_prompt_s=_figure(machine.value("limits.restart_prompt"), 1.0) or 0.3,
        restart_prompt_origin=prompt.origin if prompt else "common practice, no source",
        tooth_percent=(
            ("pinion", PERCENT / machine.gears.pinion_teeth.number),
            ("main gear", PERCENT / machine.gears.main_gear_teeth.number),
        ),
        steady_band_percent=_figure(machine.value("limits.steady_band"), PERCENT) or 1.0,
        steady_band_origin=band.origin if band else "common practice, no source",
    )


def machine_readings(machine: Machine) -> tuple[Reading, ...]:
    """Return the readings written in the machine file."""
    return tuple(
        Reading(
            percent=_plain(row.channel.si * PERCENT),
            head_speed_rpm=_plain(row.head_speed.si * RPM),
            spread_rpm=_plain(row.head_speed.spread_si * RPM)
            if _spread_is_stated(machine, place, row.head_speed)
            else 0.0,
            source=_source(place, row.head_speed.note),
        )
        for place, row in enumerate(machine.reading, start=1)
    )


def _source(place: int, note: str) -> str:
    """Say where a reading stands; one that a log gave through the gears still says so, by its note."""
    return f"machine file, reading {place}" + (f", {MOTOR_SIDE}" if note.endswith(MOTOR_SIDE) else "")


def _spread_is_stated(machine: Machine, place: int, head_speed: Value) -> bool:
    """Whether a reading's spread is its owner's, not the one that the reader fills in (whole, or half if measured)."""
    declared = machine.declared(f"reading.{place}.head_speed")
    filled = declared.kind.doubt * head_speed.si if isinstance(declared, Quantity) else 0.0
    return not any(math.isclose(head_speed.spread_si, share * filled, rel_tol=1e-9) for share in (0.5, 1.0))


def _pulse(machine: Machine) -> Pulse:
    """Return how the transmitter sends the channel."""
    return Pulse(
        low_us=_needed(machine, "pulse_low", US),
        high_us=_needed(machine, "pulse_high", US),
        step_us=_needed(machine, "step", US),
        jitter_us=_needed(machine, "jitter", US),
        travel_low_percent=_needed(machine, "travel_low", PERCENT),
        travel_high_percent=_needed(machine, "travel_high", PERCENT),
    )


def _needed(machine: Machine, key: str, scale: float) -> float:
    """Return a quantity that every channel has, given or typical."""
    value = machine.value(f"channel.{key}")
    if value is None:
        raise InputError(f"channel.{key}", read="nothing", right="a value in the machine file")
    return _plain(value.si * scale)


def _doubted(value: Value | None, scale: float) -> Doubted | None:
    """Return a value with its spread, None when it is unknown."""
    return Doubted(_plain(value.si * scale), value.spread_si * scale) if value else None


def _figure(value: Value | None, scale: float) -> float | None:
    """Return a value without its spread, None when it is unknown."""
    return _plain(value.si * scale) if value else None


def _plain(number: float) -> float:
    """Return the number as its owner wrote it, without what the way through SI left on its last digits."""
    return round(number, DIGITS)


def _is_stated(value: Value | None) -> bool:
    """Whether the owner wrote the value, rather than the size class."""
    return value is not None and not value.is_typical
