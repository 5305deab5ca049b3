"""A log that another machine flew: what rests on the machine file does not pass then."""

from steadyhead.judge.measured import Measured
from steadyhead.judge.plausible import KV_SHARE, head_over_motor, motor_over_voltage
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Verdict, no_pass_of

RATIO_SHARE = 0.03
"""A head and a motor sensor that are merely off differ by less; own choice."""
RESTS_ON_THE_FILE = (
    "hover_duty",
    "cell_voltage",
    "charge_left",
    "run_logic_conformance",
    "esc_current",
    "pack_resistance",
    "tip_speed",
    "head_speed_limit",
    "controller_temperature",
    "motor_temperature",
)
"""Checks whose limit, or figure, is that of one machine; the others hold for any."""
MISFIT = "the log does not fit this machine file"
SHORT = f"{MISFIT}, see the warnings"
NEED = "the file of the machine that flew this log"


def misfit(found: Measured, machine: Machine) -> str | None:
    """Return a sentence where gear ratio and Kv of the file both contradict the log; None where they do not.

    Valid: head, motor side, duty and pack voltage all logged.
    """
    ratio, share = head_over_motor(found), motor_over_voltage(found, machine)
    if ratio is None or share is None or abs(ratio - 1.0) <= RATIO_SHARE or abs(share - 1.0) <= KV_SHARE:
        return None
    return (
        f"{MISFIT}: the head reads {ratio:.2f} times what its gears make of the motor "
        f"speed, and the motor turns {share:.2f} times as fast as its Kv says; judge it with the file of the machine "
        "that flew it, or count teeth and poles again"
    )


def unless_another_flew_it(checks: tuple[Verdict, ...], why: str | None) -> tuple[Verdict, ...]:
    """Return the checks of a log, where it does not fit the file, `why`, those that pass on the file as unknown."""
    return checks if why is None else no_pass_of(RESTS_ON_THE_FILE, checks, SHORT, needs=(NEED,))
