"""What to change, in relative terms and one thing at a time: every device counts its gains in its own way."""

from collections.abc import Callable

from steadyhead.judge.checks_droop import duty_stood_at
from steadyhead.judge.events import FULL_DUTY
from steadyhead.judge.measured import Measured
from steadyhead.judge.one_way import one_way, unless_it_may_hunt, unless_the_loop_swings, unless_the_pack_sags
from steadyhead.judge.slip import slip
from steadyhead.judge.teeth import fewer_teeth, teeth
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

ONE_AT_A_TIME = "Change one thing at a time, then log and judge again."


def advice(found: Measured, checks: tuple[Verdict, ...], machine: Machine) -> tuple[str, ...]:
    """Return what to change, the most pressing first; empty when no check failed.

    No part is told to go both ways, no gain to be raised where the head hunts, or may, and no pinion to be changed for
    the duty of a loop that swings; no teeth to be added where the pack fails.
    """
    failed = {c.check: c for c in checks if c.verdict is Outcome.FAIL}
    no_hunting = next((c for c in checks if c.check == "no_hunting"), None)
    said = (says(found, failed[check], machine) for check, says in _SAYS.items() if check in failed)
    swings = no_hunting is not None and hunts(found, no_hunting)
    calm = (unless_the_loop_swings(line, swings=swings) for line in said if line)
    told = [unless_it_may_hunt(unless_the_pack_sags(line, checks), no_hunting) for line in calm]
    words = dict.fromkeys(one_way(told))
    return (*words, ONE_AT_A_TIME) if words else ()


def hunts(found: Measured, no_hunting: Verdict) -> bool:
    """Whether the head hunts, or nothing shows that it does not while duty or current swing as a hunting loop does."""
    return no_hunting.verdict is Outcome.FAIL or (no_hunting.verdict is not Outcome.PASS and bool(found.elsewhere))


HOLD_ADVICE = (
    "Do not fly. Lower the channel value of throttle hold, or its end point, until the controller reads it as off "
    "and the duty goes to zero at once; test on the bench with the blades off."
)


def _hold(_: Measured, __: Verdict, ___: Machine) -> str:
    return HOLD_ADVICE


def _hold_clears(_: Measured, __: Verdict, ___: Machine) -> str:
    return (
        "Do not fly. Throttle hold must clear the quick restart: lower its channel value below the controller's off "
        "level, and start softly after every hold; test on the bench with the blades off."
    )


def _conformance(found: Measured, _: Verdict, __: Machine) -> str:
    if any(s.cut is not None and not s.cut.doubt for s in found.stretches):
        return (
            "Do not fly before you know why the motor stopped by itself: read the controller's own record of heat, low "
            "voltage and lost signal, look at pack, plugs, wires and the receiver's supply, blades off."
        )
    return (
        "Do not fly before it is clear why the motor does not follow the run logic of the machine file: repeat it on "
        "the bench with the blades off, then correct the file or the controller, and run the logic command again."
    )


def _no_start(_: Measured, __: Verdict, ___: Machine) -> str:
    return "Lower the autorotation position below the level at which the controller starts, with a few steps of margin."


def _granted(_: Measured, __: Verdict, ___: Machine) -> str:
    return (
        "Move the autorotation position above the off level of the controller and below its start level, so that the "
        "motor keeps idling; then prove the quick restart on the bench before any practised autorotation."
    )


def _prompt(_: Measured, verdict: Verdict, ___: Machine) -> str:
    return (
        f"The motor came in {_figure(verdict, '.2f')} s after the switch: let the channel jump instead of creeping, "
        "and keep the autorotation position clear of the controller's off level."
    )


def _quick_time(found: Measured, verdict: Verdict, ___: Machine) -> str:
    slow = verdict.figure is not None and verdict.limit is not None and verdict.figure > verdict.limit
    if slow and any(not r.kind_told and not r.out_of_hold for r in found.restarts):
        return (
            "A bail-out took too long, and the log does not show whether the controller granted the quick restart: "
            "prove that on the bench, blades off, before you touch a ramp."
        )
    return (
        "Make the quick spool-up shorter by about a third."
        if slow
        else "Make the quick spool-up longer by about a third: so quick a start strains gears and one-way bearing."
    )


def _soft(_: Measured, verdict: Verdict, ___: Machine) -> str:
    short = verdict.figure is not None and verdict.limit is not None and verdict.figure < verdict.limit
    return "Make the soft start longer." if short else "Make the soft start shorter: the motor heats at low duty."


def _hunting(found: Measured, _: Verdict, __: Machine) -> str:
    lines = [w.line for w in found.windows if w.line] + [p.line for p in found.left_out if p.line]
    lines += found.swings_under_load
    strongest = max(lines, key=lambda line: line.amplitude_percent, default=None)
    at = f" at {strongest.frequency_hz:.1f} Hz" if strongest else ""
    return (
        f"The loop hunts{at}: lower the proportional gain by about 20 %; if it swings on slowly, lower the integral "
        "gain by about 30 %. Look for a loose pinion, a slipping pulley or a poor speed signal first."
    )


def _head_room(found: Measured, verdict: Verdict, machine: Machine) -> str:
    at_stop = [e for e in found.events if (e.duty_max or 0.0) >= FULL_DUTY]
    most = max((e.duty_max or 0.0 for e in found.events), default=0.0)
    if verdict.check == "duty_margin":
        most = max(most, verdict.figure or 0.0)
    limit = machine.limit("limits.duty_max")
    pinion = machine.gears.pinion_teeth.number
    if not limit or most <= limit.value:
        return "The drive has too little head-room: a larger pinion or a lower head speed gives it back."
    need = most / limit.value
    if at_stop:
        worst = max(e.undershoot_percent or 0.0 for e in at_stop)
        need *= 1.0 + worst / 100.0
    more = max(1, round((need - 1.0) * pinion + 0.499))
    lower = (1.0 - 1.0 / need) * 100.0
    return (
        f"The drive runs out of head-room (duty {most:.2f}): fit a pinion with {more} more "
        f"{'tooth' if more == 1 else 'teeth'}, or lower the head speed by about {lower:.0f} %; check current and heat "
        "in the plan first. More gain cannot help while the duty is at its stop."
    )


SLIPS = (
    "Head and motor do not keep step under load: look for a slipping pinion, belt, clutch or one-way bearing and mend "
    "it before the next flight. No gain can help."
)


STOOD_STILL = (
    "The duty stood still under load, below its stop: find out whether the controller limits it or the log does, "
    "before any gain is raised."
)


def _droop(found: Measured, verdict: Verdict, machine: Machine) -> str:
    if any((e.duty_max or 0.0) >= FULL_DUTY for e in found.events):
        return _head_room(found, verdict, machine)
    if slip(found) is not None:
        return SLIPS
    if any(duty_stood_at(event, found) is not None for event in found.events):
        return STOOD_STILL
    return "Raise the integral gain by about 20 %: the duty still had room while the head stayed low."


def _recovery(found: Measured, verdict: Verdict, machine: Machine) -> str:
    if any((e.duty_max or 0.0) >= FULL_DUTY for e in found.events):
        return _head_room(found, verdict, machine)
    if slip(found) is not None:
        return SLIPS
    if any(duty_stood_at(event, found) is not None for event in found.events):
        return STOOD_STILL
    return "Raise the proportional gain by about 20 %, as long as the head does not begin to hunt."


def _overspeed(found: Measured, _: Verdict, __: Machine) -> str:
    return (
        "The head overspeeds when the load comes off: lower the integral gain by about 20 % or let the controller act "
        "on the collective, so that the loop does not wind up in the climb."
    )


def _hover_duty(found: Measured, verdict: Verdict, machine: Machine) -> str:
    high = verdict.figure is not None and verdict.limit is not None and verdict.figure > verdict.limit
    if high and any((e.duty_max or 0.0) >= FULL_DUTY for e in found.events):
        return _head_room(found, verdict, machine)
    if verdict.figure is None or verdict.limit is None:
        return ""
    count = max(1, round(abs(verdict.figure / verdict.limit - 1.0) * machine.gears.pinion_teeth.number + 0.499))
    if not high:
        return fewer_teeth(found, machine, count)
    return f"Hover duty is high: {teeth(count)} more on the pinion, or a lower head speed."


def _cell(_: Measured, __: Verdict, ___: Machine) -> str:
    return "The pack sags too far: fly less hard, land earlier, warm the pack, or use one with less resistance."


def _pack(_: Measured, __: Verdict, ___: Machine) -> str:
    return "The pack is worn: retire it from hard flying and measure a fresh one for comparison."


def _charge(_: Measured, __: Verdict, ___: Machine) -> str:
    return "Land earlier: set the flight timer shorter by the charge that is missing."


def _current(_: Measured, __: Verdict, ___: Machine) -> str:
    return (
        "The current exceeds what the controller's maker allows: less collective, a smaller pinion "
        "or a lower head speed."
    )


def _speed(_: Measured, __: Verdict, ___: Machine) -> str:
    return (
        "The rotor turned faster than its makers allow: lower the head speed before the next flight "
        "and inspect the head."
    )


def _band(found: Measured, verdict: Verdict, machine: Machine) -> str:
    lines = [w.line for w in found.windows if w.line is not None and (w.line.regular or 0.0) >= 0.5]
    if lines:
        return _hunting(found, verdict, machine)
    return "The head wanders in hover: raise the proportional gain by about 20 %, and check the speed signal."


def _hot(_: Measured, __: Verdict, ___: Machine) -> str:
    return "It runs too hot: more cooling air, a hover duty nearer to full, or a lower head speed."


_SAYS: dict[str, Callable[[Measured, Verdict, Machine], str]] = {
    "hold_stops_motor": _hold,
    "hold_clears_quick_restart": _hold_clears,
    "no_start_in_autorotation_position": _no_start,
    "run_logic_conformance": _conformance,
    "quick_restart_granted": _granted,
    "quick_restart_prompt": _prompt,
    "head_speed_limit": _speed,
    "tip_speed": _speed,
    "no_hunting": _hunting,
    "pack_resistance": _pack,
    "cell_voltage": _cell,
    "quick_restart_time": _quick_time,
    "soft_start_time": _soft,
    "steady_band": _band,
    "overspeed": _overspeed,
    "duty_margin": _head_room,
    "climb_droop": _droop,
    "recovery": _recovery,
    "hover_duty": _hover_duty,
    "charge_left": _charge,
    "esc_current": _current,
    "controller_temperature": _hot,
    "motor_temperature": _hot,
}


def _figure(verdict: Verdict, form: str) -> str:
    return format(verdict.figure, form) if verdict.figure is not None else "late"
