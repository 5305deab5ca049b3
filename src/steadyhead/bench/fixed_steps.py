"""The steps that a machine's channel and run logic ask for, in the order of the bench: end points, hold, thresholds,
starting, then (after the set points) hold in every mode, the autorotation position, the quick restart.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from steadyhead.bench.step import UNITS, Entry, Interval, Step
from steadyhead.channel.end_points import measured_span
from steadyhead.channel.machine_setting import channel_setting
from steadyhead.channel.pulse import Pulse, landed_us, step_percent
from steadyhead.channel.run_logic import Permission, RunLogic
from steadyhead.channel.run_logic_of import run_logic
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.channel.thresholds import thresholds
from steadyhead.machine.description import Machine

HAND_S = 0.5
"""How far a time taken by hand may lie off the expected one. Common practice, no source."""
GOVERNED_S = 5.0
"""How long to let it run where the file does not say what a quick restart needs. Common practice, no source."""
WAITS_S = 5.0
"""How long to wait in the autorotation position. Common practice, no source."""
LEAST_WAIT_S = 1.0
"""Shortest wait at a step of the channel. Common practice, no source."""
SERVO_MONITOR_US = 1.0
"""A servo monitor shows whole microseconds. Common practice, no source."""
FROM_FILE = "the machine file"


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """A step that this machine gives no ground for, and why."""

    step: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Bench:
    """What the steps are derived from: one machine's channel and run logic."""

    machine: Machine
    setting: ChannelSetting
    logic: RunLogic


def bench_of(machine: Machine) -> Bench:
    """Return what the steps of a machine are derived from.

    Raises: InputError when the channel of the file is not one.
    """
    return Bench(machine=machine, setting=channel_setting(machine), logic=run_logic(machine))


def steps_before(bench: Bench) -> tuple[Step, ...]:
    """Return the steps before the set points."""
    return (*_ends(bench), _hold_at_rest(bench), *_thresholds(bench), *_starting(bench))


def steps_after(bench: Bench) -> tuple[Step, ...]:
    """Return the steps after the set points."""
    return (*_hold_in_modes(bench), *_autorotation(bench), *_restarts(bench))


def left_out(bench: Bench) -> tuple[LeftOut, ...]:
    """Return the steps that cannot be derived, each with what the machine file would have to say."""
    found = []
    if not bench.setting.modes:
        found.append(LeftOut(step="set_point", why="the machine file names no flight mode"))
    if bench.setting.autorotation_percent is None:
        why = "the machine file has no channel.autorotation"
        found += [LeftOut(step=name, why=why) for name in ("autorotation", "quick_restart: soon")]
    elif bench.logic.permits and bench.logic.permission_s is None:
        found.append(LeftOut(step="quick_restart: late", why="the machine file has no run_logic.quick_restart_window"))
    return tuple(found)


def _ends(bench: Bench) -> Iterator[Step]:
    for word, percent, learned in (
        ("low", 0.0, bench.setting.learned_low_us),
        ("high", 100.0, bench.setting.learned_high_us),
    ):
        pulse = bench.setting.pulse
        meant_us = landed_us(pulse, percent)
        around = _end_around(bench.setting, word, meant_us)
        yield Step(
            step=f"end_point: {word}",
            part="end points",
            title=f"{word.capitalize()} end of the throttle channel",
            action=(
                "Leave the pack unconnected; power receiver and transmitter by themselves.",
                f"Move the throttle channel to its {word} end and read its pulse width in the servo monitor.",
            ),
            switch=f"throttle channel to {percent:g} %",
            asks="Which pulse width, in us?",
            entry=Entry.PULSE,
            unit=UNITS[Entry.PULSE],
            spins=False,
            expected=min(max(learned.figure if learned else meant_us, around[0]), around[1]),
            expected_interval=around,
            expected_from="the end that the controller learned" if learned else "pulse and travel in the machine file",
            checks=(f"{word}_end_reaches", f"{word}_end_dead_travel", "end_as_described"),
        )


def _end_around(setting: ChannelSetting, word: str, meant_us: float) -> Interval:
    """Return the pulse widths that pass every check of an end: it reaches the learned one, and is as described, us.

    Where no pulse width passes both, those that reach the learned end: the file is then to be mended.
    """
    slack_us = end_slack_us(setting.pulse)
    described = (meant_us - slack_us, meant_us + slack_us)
    reached = measured_span(setting, word)
    if reached is None:
        return described
    both = (max(described[0], reached[0]), min(described[1], reached[1]))
    if both[0] <= both[1]:
        return both
    learned = setting.learned_low_us if word == "low" else setting.learned_high_us
    return _about(learned, setting.pulse.jitter_us + 0.5 * setting.pulse.step_us) if learned else described


def end_slack_us(pulse: Pulse) -> float:
    """Return how far an end may be read off what pulse and travel say: jitter, one step and the monitor's, us."""
    return pulse.jitter_us + pulse.step_us + SERVO_MONITOR_US


def _hold(state: str, title: str, action: tuple[str, ...], switch: str, asks: str) -> Step:
    return Step(
        step=f"hold_from: {state}",
        part="hold",
        title=f"Throttle hold {title}",
        action=action,
        switch=switch,
        asks=asks,
        entry=Entry.YES_OR_NO,
        expected_word="yes",
        expected_from="throttle hold must always stop the motor",
        checks=("hold_from",),
    )


STOPS = "Did the motor stop at once, and stay off for 5 s?"


def _hold_at_rest(bench: Bench) -> Step:
    names = ", ".join(mode.name for mode in bench.setting.modes) or "every flight mode"
    one_mode = len(bench.setting.modes) == 1
    moves = "Move the stick up and down." if one_mode else f"Switch through {names}; move the stick up and down."
    return _hold(
        "rest",
        "keeps it at rest",
        (
            "Throttle hold on, travel and curves as they are to be used. Then connect the pack, last of all.",
            f"Let the controller arm. Throttle hold stays on. {moves}",
        ),
        "hold on; stick up and down" if one_mode else "hold on; flight mode switch through every position",
        "Did the motor stand still all the time?",
    )


def _thresholds(bench: Bench) -> Iterator[Step]:
    for key, title, known in (
        ("start", "Where the motor starts", bench.setting.start_percent),
        ("cut_off", "Where the motor stops", bench.setting.cut_off_percent),
    ):
        step = step_percent(bench.setting.pulse, known.figure if known else 0.0)
        yield Step(
            step=f"threshold: {key}",
            part="thresholds",
            title=title,
            action=_searches(key, _waits_s(bench)),
            switch="hold off; a flat curve that is moved one step at a time; hold on when done",
            asks="At which channel percent?",
            entry=Entry.PERCENT,
            unit=UNITS[Entry.PERCENT],
            expected=known.figure if known else None,
            expected_interval=_about(known, step) if known else None,
            expected_from=FROM_FILE if known else "not in the machine file: this step finds it",
            checks=(f"{key}_measured",),
        )
    if bench.logic.idles_after_running is not False:
        yield _hold(
            "idle",
            "from idle",
            ("Let the motor start, then idle between the two thresholds.", "Put throttle hold on."),
            "hold off; idle; hold on",
            STOPS,
        )


def _searches(key: str, waits_s: float) -> tuple[str, ...]:
    """Say how a threshold is found: roughly, then one step of the channel at a time."""
    slowly = f"one step of the channel at a time, and wait {waits_s:.2g} s at each: the controller may answer late"
    if key == "start":
        return (
            "Roughly first: a flat curve at the low end, release hold, raise it in steps of 1 % until the motor turns.",
            f"Throttle hold on. Begin anew a little below that, {slowly}.",
            "Note where the motor starts. Put throttle hold on.",
        )
    return (
        "Roughly first: let the motor idle just above its start, then lower the curve in steps of 1 % until it stops.",
        f"Let it idle again. Begin anew a little above that, {slowly}.",
        "Note where the motor stops. Put throttle hold on.",
    )


def _waits_s(bench: Bench) -> float:
    """How long to wait at each step of the channel: twice the controller's own wait, s."""
    return max(LEAST_WAIT_S, 2.0 * (bench.logic.start_delay_s or 0.0))


def _starting(bench: Bench) -> Iterator[Step]:
    mode = bench.setting.modes[0].name if bench.setting.modes else "the slowest flight mode"
    expected_s = _start_delay(bench)
    yield Step(
        step="start_delay",
        part="starting",
        title="Start delay",
        action=(
            f"The curve of {mode} at its own value. From throttle hold, with the head at rest, release hold in {mode}.",
            "Take the time. Put throttle hold on once the motor turns.",
        ),
        switch=f"hold off in {mode}; hold on when it turns",
        asks="How many seconds from the switch until the motor turns?",
        entry=Entry.SECONDS,
        unit=UNITS[Entry.SECONDS],
        expected=0.5 * sum(expected_s) if expected_s else None,
        expected_interval=(max(expected_s[0] - HAND_S, 0.0), expected_s[1] + HAND_S) if expected_s else None,
        expected_from="start threshold, ramp rate and start delay" if expected_s else _delay_needs(bench),
        checks=("start_delay_measured",),
    )
    yield _hold(
        "soft start",
        "in the soft start",
        (
            "Wait until the head stands still.",
            f"Release hold in {mode}. While the head still gains speed, put throttle hold on.",
        ),
        f"hold off in {mode}; hold on within the soft start",
        STOPS,
    )
    low, high = bench.machine.limit("limits.soft_spool_low"), bench.machine.limit("limits.soft_spool_high")
    yield Step(
        step="soft_start",
        part="starting",
        title="Soft start from rest",
        action=(
            "Wait until the head stands still.",
            f"Release hold in {mode} and take the time to head speed. Then put throttle hold on.",
        ),
        switch=f"hold off in {mode}; hold on at head speed",
        asks="How many seconds from the first turn until the head speed is steady?",
        entry=Entry.SECONDS,
        unit=UNITS[Entry.SECONDS],
        expected=bench.logic.soft_spool_s,
        expected_interval=(low.value, high.value) if low and high else None,
        expected_from=f"limits of the soft start ({low.origin})" if low else "no limit is known",
        checks=("soft_start_time",),
    )


def _start_delay(bench: Bench) -> Interval | None:
    """Time from hold to the first turn: the slow channel, then the controller's own wait, s."""
    return thresholds(bench.setting, ()).start_delay_s_interval


def _delay_needs(bench: Bench) -> str:
    """Say which keys a start delay to expect rests on are missing."""
    known = {
        "channel.start": bench.setting.start_percent,
        "channel.ramp_rate": bench.setting.ramp_rate_percent_s,
        "channel.hold": bench.setting.hold_percent,
        "run_logic.start_delay": bench.logic.start_delay_s,
    }
    missing = [key for key, value in known.items() if value is None]
    return f"not known: the machine file has no {', no '.join(missing)}" if missing else "not known"


def _hold_in_modes(bench: Bench) -> Iterator[Step]:
    for mode in bench.setting.modes:
        yield _hold(
            f"mode {mode.name}",
            f"in {mode.name}",
            (f"The curve of {mode.name} at its own value. Run at head speed in {mode.name}.", "Put throttle hold on."),
            f"hold off in {mode.name}; at head speed, hold on",
            STOPS,
        )


def _autorotation(bench: Bench) -> Iterator[Step]:
    percent = bench.setting.autorotation_percent
    if percent is None:
        return
    yield Step(
        step="autorotation: rest",
        part="autorotation",
        title="Autorotation position from rest",
        action=(
            "With the head at rest and hold on, go to the autorotation position; release hold.",
            f"Wait {WAITS_S:g} s. Put hold on again.",
        ),
        switch=f"head at rest: hold to autorotation ({percent:g} %), and back",
        asks=f"Did the motor stay off for {WAITS_S:g} s?",
        entry=Entry.YES_OR_NO,
        expected_word="yes",
        expected_from="this position must never start the motor from rest",
        checks=("no_start_in_autorotation_position",),
    )
    yield _hold(
        "autorotation",
        "from the autorotation position after running",
        ("Run at head speed, go to the autorotation position, then put throttle hold on.",),
        "head speed; autorotation; hold on",
        "Was the motor off on hold, and did it stay off for 5 s?",
    )


def _restarts(bench: Bench) -> Iterator[Step]:
    logic = bench.logic
    governed_s = max(GOVERNED_S, 2.0 * (logic.governed_before_s or 0.0))
    run = f"Let it reach head speed, and run there for {governed_s:g} s."
    if bench.setting.autorotation_percent is not None:
        yield from _restarts_from_autorotation(logic, run)
    if logic.permission is not Permission.NONE:
        yield _restart(
            "after hold",
            "Restart after throttle hold",
            (run, "Throttle hold for 2 s, then release it in the flight mode."),
            "soft",
            "throttle hold must always clear the quick restart",
        )


def _restarts_from_autorotation(logic: RunLogic, run: str) -> Iterator[Step]:
    quick = "" if logic.permission is None else "quick" if logic.permits else "soft"
    yield _restart(
        "soon",
        "Restart soon after running",
        (run, "Go to the autorotation position for 2 s, then back to the flight mode."),
        quick,
        "run_logic.permission" if quick else "run_logic.permission is not known",
    )
    if logic.permits:
        yield _hold(
            "quick restart",
            "in the quick restart",
            (run, "Autorotation position for 2 s, back to the flight mode, and throttle hold at once."),
            "head speed; autorotation; flight mode; hold on at once",
            STOPS,
        )
    if logic.permits and logic.permission_s is not None:
        waits_s = logic.permission_s + max(WAITS_S, 0.1 * logic.permission_s)
        yield _restart(
            "late",
            "Restart after the quick restart has lapsed",
            (run, f"Go to the autorotation position for {waits_s:.0f} s, then back to the flight mode."),
            "soft",
            "run_logic.quick_restart_window",
        )


def _restart(which: str, title: str, action: tuple[str, ...], word: str, origin: str) -> Step:
    clears = which == "after hold"
    return Step(
        step=f"quick_restart: {which}",
        part="restart",
        title=title,
        action=(*action, "Put throttle hold on when done."),
        switch="head speed; hold; flight mode" if clears else "head speed; autorotation; flight mode",
        asks="Was the start soft or quick?",
        entry=Entry.START_KIND,
        expected_word=word,
        expected_from=origin,
        checks=("hold_clears_quick_restart",) if clears else ("quick_restart_on_bench",),
    )


def _about(known: Doubted, slack: float) -> Interval:
    """Return a known figure with its doubt and what may be off besides."""
    return known.figure - known.spread - slack, known.figure + known.spread + slack
