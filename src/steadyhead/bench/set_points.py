"""The set-point steps: each reading decides where the next one is taken, until the law is known and every mode read."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from steadyhead.bench.fixed_steps import Bench
from steadyhead.bench.step import UNITS, Entry, Interval, Step
from steadyhead.channel.answer import as_sent, channel
from steadyhead.channel.curve import expected
from steadyhead.channel.fitted_law import FittedLaw
from steadyhead.channel.measured import Measured
from steadyhead.channel.pulse import landed_percent, step_percent
from steadyhead.channel.reading_set import reading_set
from steadyhead.channel.result import ChannelAnswer, Reading
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome

MOST = 12
"""No more set-point steps than this are asked for in one run. Common practice, no source."""
MOST_AT_ONE = 3
"""No position is read more often than this in one run: a fourth reading tells little. Common practice, no source."""
ONE_GOVERNOR = (
    "Only one governor may act: that of the stabilising controller or that of the speed controller. "
    "Switch the other off, as their manuals say."
)
"""Two governors on one rotor work against each other. Common practice, no source."""
TESTS_FROM = 2
"""Readings that make a law of which a further one can be expected."""


def without_readings(machine: Machine) -> Machine:
    """Return the machine without the readings of its file: a run proves only what it has read itself."""
    return machine.model_copy(update={"reading": ()})


def channel_of(bench: Bench, readings: Sequence[Reading], measured: Sequence[Measured] = ()) -> ChannelAnswer:
    """Return every number of the channel, from the readings of a run alone; `measured` are its thresholds."""
    return channel(without_readings(bench.machine), readings, measured=measured)


def next_set_point(bench: Bench, readings: Sequence[Reading], taken: int) -> Step | None:
    """Return the set-point step that would tell most; None when the law is known and every mode was read.

    `taken`: how many set-point steps this run has had.
    Raises: InputError when the readings contradict each other.
    """
    if not bench.setting.modes or taken >= MOST:
        return None
    answer = channel_of(bench, [replace(reading, source="planned from") for reading in readings])  # whoever took it
    following = answer.next_reading_percent
    if not _known(answer) and following is not None and _times_read(bench, readings, following) < MOST_AT_ONE:
        return set_point(bench, readings, taken, following, answer.next_reading_because)
    for percent, name in _positions(bench, answer):
        if not _times_read(bench, readings, percent):
            return set_point(bench, readings, taken, percent, f"{name} was not read yet")
    return None


def set_point(bench: Bench, readings: Sequence[Reading], taken: int, percent: float, because: str) -> Step:
    """Return the step that reads one position, with the head speed that the other readings let expect."""
    step = Step(
        step=f"set_point: {taken + 1} at {percent:.4g} %",
        part="set points",
        title=f"Head speed at {percent:.4g} %",
        action=(
            *(() if taken else (ONE_GOVERNOR,)),
            f"Set a flat curve of {percent:.4g} %, with throttle hold on. Why here: {because}.",
            *_stops_above(bench),
            "Release hold, wait until the head speed is steady, and read it. Put throttle hold on.",
        ),
        switch=f"hold off at {percent:.4g} %; hold on when read",
        asks="Which head speed, in rpm?",
        entry=Entry.HEAD_SPEED,
        unit=UNITS[Entry.HEAD_SPEED],
        percent=percent,
        checks=("set_point", "set_point_limit"),
    )
    return moved(bench, readings, step)


def _stops_above(bench: Bench) -> tuple[str, ...]:
    """Say at which head speed to stop at once, where the limit is known."""
    most_rpm = bench.setting.head_speed_max_rpm
    if most_rpm is None:
        return ("The limit of head and blades is not in the machine file: look it up before you release hold.",)
    return (f"Above {most_rpm:.0f} rpm, the limit of head and blades, put throttle hold on at once.",)


def _known(answer: ChannelAnswer) -> bool:
    """Whether the law was tested and every mode's value is judged."""
    law = [check for check in answer.checks if check.check == "set_point_law"]
    modes = [mode.verdict for mode in answer.modes]
    return all(check.verdict is Outcome.PASS for check in law) and Outcome.UNKNOWN not in modes


def _positions(bench: Bench, answer: ChannelAnswer) -> Iterator[tuple[float, str]]:
    """Yield the position of each mode as it is set today, else as it is to be set, slowest first."""
    to_set = {mode.mode: mode.curve_percent for mode in answer.modes}
    found = [(m.today_percent if m.today_percent is not None else to_set[m.name], m.name) for m in bench.setting.modes]
    yield from sorted((landed_percent(bench.setting.pulse, at), name) for at, name in found if at is not None)


def _times_read(bench: Bench, readings: Sequence[Reading], percent: float) -> int:
    step = step_percent(bench.setting.pulse, percent)
    return sum(abs(reading.percent - percent) <= step for reading in readings)


def _expected(bench: Bench, readings: Sequence[Reading], percent: float) -> Interval | None:
    """Return where the law of the readings puts one more, with the doubt of the law and of a reading, rpm."""
    law = _law(bench, readings)
    if law is None or (law.line is None and not law.span_percent[0] <= percent <= law.span_percent[1]):
        return None
    low, high = expected(law, percent, bench.setting).interval_rpm
    return low, high


def _law(bench: Bench, readings: Sequence[Reading]) -> FittedLaw | None:
    if len(readings) < TESTS_FROM:
        return None
    law = set_point_law(as_sent(reading_set(readings), bench.setting))
    return law if law.known else None


def moved(bench: Bench, readings: Sequence[Reading], step: Step) -> Step:
    """Return a set-point step that is asked again, with what the other readings now let expect."""
    return held_against(step, _expected(bench, readings, step.percent or 0.0))


def held_against(step: Step, around: Interval | None) -> Step:
    """Return a set-point step with the head speeds that its reading is held against; without any it makes the law."""
    return replace(
        step,
        expected=0.5 * sum(around) if around else None,
        expected_interval=around,
        expected_from="the other readings of this run" if around else "no value yet: the first readings make the law",
    )
