"""Columns that are no plain measurement: what is said of them, and when it is a warning."""

from collections.abc import Mapping

from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import Claim
from steadyhead.trace.rivals import MATTERS, Found

SPEEDS = (
    "head_speed_rpm",
    "motor_side_speed_rpm",
    "geared_speed_rpm",
    "motor_speed_rpm",
    "electrical_speed_rpm",
    "some_speed_rpm",
)
_GIVES = {
    "cell_voltage_v": "pack_voltage_v",
    "throttle_pulse_us": "throttle_percent",
    "charge_left_mah": "charge_used_mah",
}


def said_of_left_out(claims: list[Claim], found: Mapping[str, Found]) -> tuple[list[str], list[str]]:
    """Return warnings and history for columns that are left out: a warning where nothing else gives their channel."""
    warnings, history = [], []
    for claim in claims:
        heading = claim.column.heading
        targets = MATTERS if claim.meaning in SPEEDS else (_GIVES.get(claim.meaning, claim.meaning),)
        used = next((found[name].heading for name in targets if name in found), None)
        if used is not None:
            history.append(f"{heading}: not used, it is {claim.not_plain}; {used} is used")
        else:
            option = option_for(heading, targets[0])
            warnings.append(
                f'{heading}: left out, it is {claim.not_plain}; if it is what the check needs: --column "{option}"'
            )
    return warnings, history
