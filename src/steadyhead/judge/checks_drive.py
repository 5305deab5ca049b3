"""Judges what the drive and the rotor bear: duty, cells, charge, current, resistance, speeds, temperatures."""

from dataclasses import replace

import numpy as np

from steadyhead.judge.bearing import bearing_may_run_free
from steadyhead.judge.cell_count import CELLS_NEEDED, MISCOUNTED, cells_misfit
from steadyhead.judge.charge_left import Use, charge_left
from steadyhead.judge.checks_cell import as_cells_allow
from steadyhead.judge.current_sense import LEAST_OF_NEW
from steadyhead.judge.duty import READ_DOUBT, Duty, duty_of
from steadyhead.judge.held_speed import DROOPS_PERCENT
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.parts import part_means
from steadyhead.judge.pieces import percentile
from steadyhead.judge.quick_current import between_rows_a, unseen_peak_a
from steadyhead.judge.segments import DRIVEN
from steadyhead.judge.signals import all_finite
from steadyhead.judge.steady import Calm
from steadyhead.judge.teeth import highest_duty
from steadyhead.judge.transient import NOISE_OF_PEAK, hidden, row_noise
from steadyhead.judge.unseen_heat import unless_unseen_heat
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Series, Trace
from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

UNTOLD_S = 10.0
"""Running for so long is more than a check on the ground before the flight; own choice."""
CARRIES_SHARE = 0.7
"""Hovers of one flight differ by less, with wind and pack; flat pitch on the ground takes half or less; own choice."""
SENSOR_LOW, SENSOR_HIGH = 0.95, 1.1
"""A current sensor is off by a twentieth and smooths a short peak; common practice, no source."""


def drive_checks(found: Measured, machine: Machine, numbers: Owner, trace: Trace) -> tuple[Verdict, ...]:
    """Judge what the drive and the rotor bear."""
    duty = duty_of(found.signals, machine)
    return (
        _duty_margin(found, numbers, duty),
        _hover_duty(found, numbers, duty),
        as_cells_allow(_cell_voltage(found, numbers), found, numbers, trace),
        charge_left(use_of(found, numbers), numbers),
        _esc_current(found, numbers),
        _pack_resistance(found, numbers),
        _tip_speed(found, numbers),
        _head_speed_limit(found, machine, numbers),
        *_temperatures(found, trace, numbers),
    )


def _duty_margin(found: Measured, numbers: Owner, duty: Duty | None) -> Verdict:
    if duty is None:
        return Verdict.unknown("duty_margin", "the log has no controller duty", needs=("duty",))
    if not found.events:
        return Verdict.unknown("duty_margin", "no hard load in this log", needs=("a log with a hard climb-out",))
    most, doubt = highest_duty(found, duty)
    verdict = Verdict.at_most(
        "duty_margin",
        most,
        numbers.limit("limits.duty_max"),
        what=f"the highest duty while governed{duty.words}",
        interval=(most - doubt, most + doubt),
    )
    deepest = max(found.events, key=lambda event: event.droop_percent or 0.0)
    if not duty.logged:
        verdict = verdict.unless_it_may_hold("duty")
    if duty.logged or verdict.verdict is not Outcome.PASS or (deepest.droop_percent or 0.0) < DROOPS_PERCENT:
        return verdict
    why = (
        f"the head stayed {deepest.droop_percent:.1f} % low in the climb-out at "
        f"{deepest.start_s:.1f} s, as it does when the duty stands at its stop"
    )
    return verdict.but(why, needs=("duty",))


def _hover_duty(found: Measured, numbers: Owner, duty: Duty | None) -> Verdict:
    if duty is None:
        return Verdict.unknown("hover_duty", "the log has no controller duty", needs=("duty",))
    low, high = numbers.limit("limits.hover_duty_low"), numbers.limit("limits.hover_duty_high")
    hover = [(w, part) for w, part in zip(found.windows, found.window_parts, strict=True) if w.hover]
    mean_of = part_means(duty.values, [part for _, part in hover])
    means = [(float(mean), window.set_rpm) for mean, (window, _) in zip(mean_of, hover, strict=True)]
    if not means:
        return Verdict.unknown("hover_duty", "no plain hover in this log", needs=("a log with 10 s of plain hover",))
    judged = []
    for mean, set_rpm in (min(means), max(means)):
        doubt = READ_DOUBT + mean * duty.doubt_share
        what = f"mean duty in hover at {set_rpm:.0f} rpm{duty.words}"
        verdict = Verdict.between("hover_duty", mean, low, high, what=what, interval=(mean - doubt, mean + doubt))
        judged.append(verdict if duty.logged else verdict.unless_it_may_hold("duty"))
    outcome = worst(v.verdict for v in judged)
    verdict = max((v for v in judged if v.verdict is outcome), key=lambda v: abs((v.figure or 0.0) - 0.75))
    return _unless_it_hovers_elsewhere(verdict, found, duty, (low, high)) if outcome is Outcome.PASS else verdict


def _unless_it_hovers_elsewhere(
    verdict: Verdict, found: Measured, duty: Duty, limits: tuple[Limit | None, Limit | None]
) -> Verdict:
    """Return a pass as unknown where running that may be hover, too, lies outside.

    A speed at which nothing is known to be hover counts from UNTOLD_S on: less may be a check on the ground.
    """
    low, high = limits
    hovered = {window.set_rpm for window in found.windows if window.hover}
    windows = [(w, part) for w, part in zip(found.windows, found.window_parts, strict=True) if w.hover is None]
    lasted_s: dict[float, float] = {}
    for window, _ in windows:
        lasted_s[window.set_rpm] = lasted_s.get(window.set_rpm, 0.0) + window.end_s - window.start_s
    told = hovered | {set_rpm for set_rpm, seconds in lasted_s.items() if seconds >= UNTOLD_S}
    untold = _may_carry(found, [(w, part) for w, part in windows if w.set_rpm in told])
    for (window, _), mean in zip(untold, part_means(duty.values, [part for _, part in untold]).tolist(), strict=True):
        if (low and mean < low.value - READ_DOUBT) or (high and mean > high.value + READ_DOUBT):
            why = (
                f"from {window.start_s:.0f} s the duty stands at {mean:.2f}, and the log does "
                "not show whether that was hover, too"
            )
            return verdict.but(why, needs=("height_m or collective_deg",))
    return verdict


def _may_carry(found: Measured, running: list[tuple[Calm, slice]]) -> list[tuple[Calm, slice]]:
    """Return the windows whose current is not too small for any hover at their speed, seen from the hover known.

    Equation: P_hover(n) >= P_hover(n1) min(1, (n / n1)^3): the induced part does not fall with the speed, the profile
    part with its cube; momentum and blade element theory, any textbook.
    """
    current = found.signals.current_a
    if current is None or not running:
        return running
    hover = [(w, part) for w, part in zip(found.windows, found.window_parts, strict=True) if w.hover]
    hover_a = part_means(current, [part for _, part in hover])
    hover_rpm = np.array([window.set_rpm for window, _ in hover])
    return [
        (window, part)
        for (window, part), mean_a in zip(running, part_means(current, [part for _, part in running]), strict=True)
        if mean_a >= CARRIES_SHARE * float((hover_a * np.minimum(1.0, (window.set_rpm / hover_rpm) ** 3)).min())
    ]


def _cell_voltage(found: Measured, numbers: Owner) -> Verdict:
    limit = numbers.limit("pack.cell_voltage_min")
    lowest = found.signals.lowest_cell_v
    misfit = cells_misfit(found, numbers)
    if misfit and lowest is None:
        return Verdict.unknown("cell_voltage", f"{misfit}{MISCOUNTED}", needs=CELLS_NEEDED)
    if lowest is not None:
        least, unseen = float(lowest.min()), _hidden_between(lowest, found) + _unseen_dip_v(found) / numbers.cells
        interval = (least - unseen, least + NOISE_OF_PEAK * row_noise(lowest))
        return Verdict.at_least("cell_voltage", least, limit, what="the lowest cell under load", interval=interval)
    if found.signals.voltage_v is None:
        why = "the log has no pack voltage that can be used"
        return Verdict.unknown("cell_voltage", why, needs=("pack_voltage_v",))
    volts = found.signals.voltage_v
    mean = float(volts.min()) / numbers.cells
    unseen = (_hidden_between(volts, found) + _unseen_dip_v(found)) / numbers.cells
    interval = (mean - unseen, mean + NOISE_OF_PEAK * row_noise(volts) / numbers.cells)
    verdict = Verdict.at_least("cell_voltage", mean, limit, what="the mean cell under load", interval=interval)
    return replace(verdict, reason=verdict.reason + "; the weakest cell was not logged and lies below the mean")


def _unseen_dip_v(found: Measured) -> float:
    """Return by how much the pack may have dipped deeper with a current peak that its sensor does not show, V."""
    current, resistance = found.signals.current_a, found.pack.resistance_ohm
    if current is None or resistance is None or not found.signals.sensed:
        return 0.0
    return max(unseen_peak_a(found.signals, found.stretches)[0] - float(current.max()), 0.0) * resistance


def _hidden_between(volts: Series, found: Measured) -> float:
    """Return by how much a voltage may have dipped deeper between its own values, V."""
    own_s = max(found.signals.own_s.get("pack_voltage_v", 0.0), found.signals.interval_s)
    every = max(1, round(own_s / found.signals.interval_s))
    row = int(volts.argmin())
    return hidden(volts[row % every :: every], row // every, own_s)


def is_broken_off(found: Measured) -> bool:
    """Whether a log ends while the motor drives."""
    return bool(found.stretches) and found.stretches[-1].kind in DRIVEN and found.signals.sensed


def use_of(found: Measured, numbers: Owner) -> Use:
    """Return what was taken from the pack in a log or flight taken for itself."""
    pack = found.pack
    return Use(
        number=1,
        used_mah=pack.charge_mah,
        rest_v=pack.rest_voltage_v,
        fresh=None,
        by_current_mah=pack.charge_by_current_mah,
        broken_off=is_broken_off(found),
        misfit=cells_misfit(found, numbers),
    )


def _esc_current(found: Measured, numbers: Owner) -> Verdict:
    if found.signals.current_a is None:
        return Verdict.unknown("esc_current", "the log has no pack current", needs=("pack_current_a",))
    most = float(found.signals.current_a.max())
    limit = numbers.limit("controller.current_burst")
    what = "the highest current, as the sensor saw it,"
    low = SENSOR_LOW * most - NOISE_OF_PEAK * row_noise(found.signals.current_a)
    high, at_s = unseen_peak_a(found.signals, found.stretches) if found.signals.sensed else (0.0, 0.0)
    verdict = Verdict.at_most("esc_current", most, limit, what=what, interval=(low, SENSOR_HIGH * most))
    between, row_s = between_rows_a(found.signals, found.stretches) if found.signals.sensed else (0.0, 0.0)
    highest = max(SENSOR_HIGH * most, high, between)
    if limit is None or verdict.verdict is not Outcome.PASS or max(high, between) <= limit.value:
        return replace(verdict, figure_interval=(low, highest))
    if high <= limit.value:
        why = (
            f"a current read every {row_s:.2g} s shows no short peak: it may have been {between:.0f} A between two rows"
        )
        return replace(verdict, figure_interval=(low, highest)).but(why, needs=(QUICK_CURRENT,))
    why = (
        f"{verdict.reason}; but when the motor came back at {at_s:.1f} s it may have peaked at {high:.0f} A: "
        "a sensor that smooths, or rows so far apart, show so quick a peak too small"
    )
    return replace(verdict, verdict=Outcome.UNKNOWN, reason=why, figure_interval=(low, highest), needs=(QUICK_CURRENT,))


QUICK_CURRENT = "a quicker current sensor, in quick rows"


def _pack_resistance(found: Measured, numbers: Owner) -> Verdict:
    pack, new = found.pack, numbers.new_resistance_ohm
    if pack.resistance_ohm is None or pack.resistance_ohm_low is None or pack.resistance_ohm_high is None:
        return Verdict.unknown(
            "pack_resistance", "the log shows no load steps with voltage and current", needs=("a log with load steps",)
        )
    if not new:
        figure = 1000.0 * pack.resistance_ohm
        return Verdict.unknown(
            "pack_resistance",
            f"the pack has {figure:.1f} mohm; what it had when new is not known",
            needs=("pack.resistance_when_new",),
        )
    ratio = pack.resistance_ohm / new
    spread = numbers.new_resistance_spread_ohm / new
    low, high = pack.resistance_ohm_low / new * (1.0 - spread), pack.resistance_ohm_high / new * (1.0 + spread)
    what = f"pack resistance over its value when new ({1000.0 * pack.resistance_ohm:.1f} mohm)"
    limit = numbers.limit("limits.pack_resistance_growth")
    verdict = Verdict.at_most("pack_resistance", ratio, limit, what=what, interval=(low, high))
    if low >= LEAST_OF_NEW or verdict.verdict is not Outcome.PASS:
        return verdict
    return verdict.but("no pack loses so much of it by warmth", needs=("a voltage and a current of the same pack",))


def _no_blades(check: str, found: Measured) -> Verdict | None:
    if found.blades_on:
        return None
    why = (
        "the power is too small for blades to have been fitted"
        if found.blades_on is False
        else "the log does not show whether blades were fitted"
    )
    return Verdict.unknown(check, why, needs=("a log with blades fitted",))


def _tip_speed(found: Measured, numbers: Owner) -> Verdict:
    speeds = [s.set_rpm for s in found.governed if s.set_rpm is not None]
    if not speeds or numbers.radius_m is None:
        return Verdict.unknown("tip_speed", "no governed head speed in this log", needs=("head speed",))
    bare = _no_blades("tip_speed", found)
    if bare is not None:
        return bare
    rate = max(speeds) * np.pi / 30.0
    tip, spread = rate * numbers.radius_m, rate * numbers.radius_spread_m
    limit = numbers.limit("limits.tip_speed_max")
    what = f"tip speed at {max(speeds):.0f} rpm"
    return Verdict.at_most("tip_speed", tip, limit, what=what, interval=(tip - spread, tip + spread))


def _head_speed_limit(found: Measured, machine: Machine, numbers: Owner) -> Verdict:
    speed = found.signals.speed_rpm
    if speed is None:
        return Verdict.unknown("head_speed_limit", "the log has no head speed", needs=("head_speed_rpm",))
    bare = _no_blades("head_speed_limit", found)
    if bare is not None:
        return bare
    most = float(speed.max())
    side = "head speed" if found.signals.speed_is_head else "motor-side speed"
    limit = numbers.limit("limits.head_speed_max")
    verdict = Verdict.at_most("head_speed_limit", most, limit, what=f"the highest {side}")
    undriven = any(s.kind == "autorotation" for s in found.stretches)
    if verdict.verdict is Outcome.PASS and not found.signals.speed_is_head:
        if not undriven and not bearing_may_run_free(found, machine):
            return verdict
        why = "only the motor side was measured: undriven, the head may have run faster than it shows"
        return Verdict.unknown("head_speed_limit", why, needs=("head speed measured at the head",))
    return verdict


HOT = (
    ("controller_temperature", "controller_temperature_c", "controller.temperature_max"),
    ("motor_temperature", "motor_temperature_c", "motor.winding_temperature_max"),
)


def _temperatures(found: Measured, trace: Trace, numbers: Owner) -> list[Verdict]:
    """Judge a temperature that was logged and has a limit; the others are left out, they are no governing figure.

    One that has a limit, and may stand in a column which was left out, is unknown.
    """
    judged = []
    for check, channel, key in HOT:
        limit = numbers.limit(key)
        values = None if limit is None else trace.get(channel)
        if limit is not None and values is None:
            judged.extend(_left_out(check, channel, trace))
        if values is None or limit is None:
            continue
        known = values if all_finite(values) else values[np.isfinite(values)]
        most = percentile(known, 99.9) if known.size > 1000 else float(known.max())
        verdict = Verdict.at_most(check, most, _celsius(limit), what=f"the highest {channel[:-2].replace('_', ' ')}")
        judged.append(unless_unseen_heat(verdict, trace.time_s, values, found))
    return judged


def _left_out(check: str, channel: str, trace: Trace) -> list[Verdict]:
    headings = [column.heading for column in trace.unread if column.channel == channel]
    if not headings:
        return []
    named = " and ".join(headings)
    why = f"{named} may hold it and was left out, see the warnings"
    return [Verdict.unknown(check, why, needs=(f"a word from you whether {named} is the {check.replace('_', ' ')}",))]


def _celsius(limit: Limit) -> Limit:
    if limit.unit in ("K", "kelvin"):
        return Limit(value=limit.value - 273.15, unit="degC", origin=limit.origin)
    return limit
