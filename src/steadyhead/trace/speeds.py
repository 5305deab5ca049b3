"""Head, motor or electrical speed: told apart by name, gearing and what a rotor can turn."""

from typing import NamedTuple

import numpy as np

from steadyhead.trace.gearing import Gearing
from steadyhead.trace.impossible import level_of
from steadyhead.trace.mapping import option_for
from steadyhead.trace.trace import Series
from steadyhead.trace.unsure import UnsureColumns

HEAD_LOW_RPM, HEAD_HIGH_RPM = 600.0, 4500.0
"""What heads of class 400 to 800 turn when they run; common practice, no source, made wide."""
_AGREES_SHARE = 0.15
_SLIP_SHARE = 0.03
"""Head and motor side that drive one another differ by less; common practice, no source."""
_KV_LOW, _KV_HIGH = 0.55, 1.1
"""Motor speed over duty × pack voltage × Kv while driven: below 1 by the resistance, above by the scatter of Kv."""


_NAMED = {
    "head_speed_rpm": "head",
    "motor_side_speed_rpm": "head",
    "geared_speed_rpm": "head",
    "motor_speed_rpm": "motor",
    "electrical_speed_rpm": "electrical",
}
_ONLY_AS_NAMED = ("head_speed_rpm", "geared_speed_rpm")
"""A head speed or a gear's speed that fits another kind only is asked about, never divided."""
_TARGET = {"some_speed_rpm": "head_speed_rpm", "geared_speed_rpm": "motor_side_speed_rpm"}
"""What a person may call a speed of which the heading says no more."""
MEANT_SHARE = 0.75
"""A governor that holds less of what its flight mode means, or so much more, is a misread speed; own choice."""
_TIMES = (1.0, 10.0, 100.0)
"""Logs hold speeds in whole turns, tenths or hundredths; common practice, no source."""
_DEAD_SHARE = 0.001
"""A sensor that never shows this share of the speed that is driven shows nothing; own choice."""


class SpeedSeen(NamedTuple):
    """A speed column understood: its channel, what to divide by, a sentence, and whether that is a warning."""

    channel: str
    divide_by: float
    said: str
    doubtful: bool


def speed_seen(
    source: str,
    heading: str,
    meaning: str,
    values_rpm: Series,
    gearing: Gearing,
    drive_rpm: Series | None,
    known_rpm: Series | None = None,
) -> SpeedSeen:
    """Return which speed a column holds.

    `drive_rpm` is duty × pack voltage × Kv where all three are known: the motor speed it would have without load.
    `known_rpm` is a speed of the head that another column has given; one that only says `rpm` must agree with it.

    Shapes: values_rpm (n,), drive_rpm (n,) or None
    Raises: UnsureColumns when name and figures leave more than one answer, or a ratio is needed and unknown.
    """
    level = level_of(values_rpm)
    if drive_rpm is not None and level < _DEAD_SHARE * level_of(drive_rpm) and _drives_a_rotor(gearing, drive_rpm):
        raise _dead(source, heading, level)
    divisors = _divisors(gearing)
    fits = [kind for kind, by in divisors.items() if by and HEAD_LOW_RPM <= level / by <= HEAD_HIGH_RPM]
    if meaning == "some_speed_rpm" and known_rpm is not None:
        known = level_of(known_rpm)
        fits = [kind for kind in fits if abs(level / (divisors[kind] or 1.0) - known) < _AGREES_SHARE * known]
    if len(fits) > 1 and drive_rpm is not None:
        fits = [kind for kind in fits if _fits_drive(values_rpm, divisors[kind], gearing, drive_rpm)] or fits
    named = _NAMED.get(meaning)
    kind = named or (fits[0] if len(fits) == 1 else None)
    if kind is None and level < HEAD_LOW_RPM and level / (gearing.ratio or 1.0) < HEAD_LOW_RPM:
        if drive_rpm is not None and _drives_a_rotor(gearing, drive_rpm):
            raise _unsure_scale(source, heading, meaning, level)
        return SpeedSeen("head_speed_rpm", 1.0, f"{heading}: taken as head speed, no running seen", True)
    strange = fits and kind not in fits and meaning in _ONLY_AS_NAMED
    if kind is None or strange or (not named and _contradicted(values_rpm, divisors[kind], gearing, drive_rpm)):
        raise _unsure(source, heading, level, gearing)
    if not fits and _contradicted(values_rpm, divisors[kind], gearing, drive_rpm):
        raise _unsure_scale(source, heading, meaning, level)
    if fits and kind not in fits:
        other = fits[0]
        by = divisors[other] or 1.0
        off = 0.0 if known_rpm is None else abs(level / by / level_of(known_rpm) - 1.0)
        if off > _SLIP_SHARE or _contradicted(values_rpm, by, gearing, drive_rpm):
            raise _unsure_scale(source, heading, meaning, level)
        text = f"{heading}: named {kind} speed, but {level:.0f} rpm only fits {other} speed: read as that"
        return SpeedSeen("motor_side_speed_rpm", by, text, True)
    if (
        not named
        and drive_rpm is None
        and known_rpm is None
        and is_far_from_meant(level / (divisors[kind] or 1.0), gearing)
    ):
        raise _unsure_meant(source, heading, level, kind, gearing)
    divisor = divisors[kind]
    if divisor is None:
        raise _needs_gearing(source, heading, kind, level)
    head = kind == "head" and meaning not in ("motor_side_speed_rpm", "geared_speed_rpm")
    channel = "head_speed_rpm" if head else "motor_side_speed_rpm"
    said = f"{heading}: {kind} speed" + (f", divided by {divisor:g}" if divisor != 1.0 else "")
    return SpeedSeen(channel, divisor, said, False)


def kinds_that_fit(meaning: str, level_rpm: float, gearing: Gearing) -> list[str]:
    """Return which kinds of speed a level may be, head, motor or electrical; of a named column only that kind."""
    kinds = _divisors(gearing)
    named = _NAMED.get(meaning)
    return [
        kind
        for kind, by in kinds.items()
        if by and named in (None, kind) and HEAD_LOW_RPM <= level_rpm / by <= HEAD_HIGH_RPM
    ]


def is_far_from_meant(head_rpm: float, gearing: Gearing) -> bool:
    """Whether a head speed lies far below, or far above, all that the flight modes are meant to hold."""
    meant = gearing.head_speeds_rpm
    return bool(meant) and not MEANT_SHARE * min(meant) <= head_rpm <= max(meant) / MEANT_SHARE


def is_driven_as_said(head_rpm: Series, gearing: Gearing, drive_rpm: Series | None) -> bool:
    """Whether a speed, brought to the head, is what duty, voltage and Kv drive. Shapes: (n,), (n,) or None."""
    return drive_rpm is not None and _fits_drive(head_rpm, 1.0, gearing, drive_rpm)


def _divisors(gearing: Gearing) -> dict[str, float | None]:
    return {"head": 1.0, "motor": gearing.ratio, "electrical": _product(gearing.ratio, gearing.pole_pairs)}


def _drives_a_rotor(gearing: Gearing, drive_rpm: Series) -> bool:
    return bool(gearing.ratio) and level_of(drive_rpm) / (gearing.ratio or 1.0) >= HEAD_LOW_RPM


def _product(ratio: float | None, pole_pairs: float | None) -> float | None:
    return ratio * pole_pairs if ratio and pole_pairs else None


def _contradicted(values: Series, divisor: float | None, gearing: Gearing, drive_rpm: Series | None) -> bool:
    return drive_rpm is not None and _runs(values, divisor, gearing, drive_rpm) is False


def _fits_drive(values: Series, divisor: float | None, gearing: Gearing, drive_rpm: Series) -> bool:
    return bool(_runs(values, divisor, gearing, drive_rpm))


def _runs(values: Series, divisor: float | None, gearing: Gearing, drive_rpm: Series) -> bool | None:
    """Whether the motor turns as duty, voltage and Kv say while it is driven; None where nothing tells."""
    if not divisor or not gearing.ratio:
        return None
    motor = values / divisor * gearing.ratio
    driven = np.isfinite(motor) & np.isfinite(drive_rpm) & (drive_rpm > 0.4 * level_of(drive_rpm))
    if not driven.any() or level_of(drive_rpm) / gearing.ratio < HEAD_LOW_RPM:
        return None
    share = float(np.median(motor[driven] / drive_rpm[driven]))
    return _KV_LOW <= share <= _KV_HIGH


def _unsure(source: str, heading: str, level: float, gearing: Gearing) -> UnsureColumns:
    ratio = f" with a gear ratio of {gearing.ratio:g}" if gearing.ratio else ", gear ratio unknown"
    return UnsureColumns(
        source,
        read=f"a speed column {heading!r} that reaches {level:.0f} rpm{ratio}: head, motor or electrical speed?",
        options=tuple(
            option_for(heading, target, "rpm")
            for target in ("head_speed_rpm", "motor_speed_rpm", "electrical_speed_rpm")
        ),
    )


def _unsure_meant(source: str, heading: str, level: float, kind: str, gearing: Gearing) -> UnsureColumns:
    """Ask for a speed of which only its size tells what it is, where that is far from every flight mode."""
    divisors = _divisors(gearing)
    meant = " and ".join(f"{rpm:.0f}" for rpm in sorted(set(gearing.head_speeds_rpm)))
    ways = ((other, times) for times in _TIMES for other, by in divisors.items() if by)
    fits = [
        option_for(heading, f"{other}_speed_rpm", f"{times:g} rpm" if times > 1.0 else "rpm")
        for other, times in ways
        if not is_far_from_meant(times * level / (divisors[other] or 1.0), gearing)
    ]
    usual = tuple(option_for(heading, f"{other}_speed_rpm", "rpm") for other in divisors)
    return UnsureColumns(
        source,
        read=f"a speed column {heading!r} that reaches {level:.0f} rpm: as a {kind} speed the head turns "
        f"{level / (divisors[kind] or 1.0):.0f} rpm, far from the {meant} rpm of the flight modes; no duty tells more",
        options=tuple(fits) or usual,
    )


def _dead(source: str, heading: str, level: float) -> UnsureColumns:
    return UnsureColumns(
        source,
        read=f"a speed column {heading!r} that stands at {level:.0f} rpm while duty and voltage drive a rotor",
        options=(option_for(heading, "ignore"),),
    )


def _unsure_scale(source: str, heading: str, meaning: str, level: float) -> UnsureColumns:
    return UnsureColumns(
        source,
        read=f"a speed column {heading!r} that reaches {level:.0f} rpm, while duty and voltage drive the rotor at "
        "another speed: a tenth or a hundredth of it, or another shaft?",
        options=tuple(option_for(heading, _TARGET.get(meaning, meaning), unit) for unit in ("10 rpm", "100 rpm")),
    )


def _needs_gearing(source: str, heading: str, kind: str, level: float) -> UnsureColumns:
    needed = "gear ratio" if kind == "motor" else "gear ratio and pole pairs"
    return UnsureColumns(
        source,
        read=f"{kind} speed in {heading!r} (up to {level:.0f} rpm), and the machine's {needed} not known",
        options=(option_for(heading, "head_speed_rpm", "rpm"), option_for(heading, "ignore")),
    )
