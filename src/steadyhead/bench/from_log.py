"""What a judged log, or a recording that was heard, answers to the step that is being done."""

from collections.abc import Sequence

from steadyhead.bench.step import HOLD_AT_REST, MICROPHONE, Answer, Entry, Step
from steadyhead.judge.commands import same_position
from steadyhead.judge.held_heard import SAME_SPEED_SHARE
from steadyhead.judge.listening import Listening
from steadyhead.judge.live_ear import SpeedTaken
from steadyhead.judge.readings import readings as readings_of
from steadyhead.judge.result import Judgement
from steadyhead.trace.simulated import NO_EVIDENCE
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome, Verdict

TOLD_BY = {
    "soft_start": "soft_start_time",
    "autorotation: rest": "no_start_in_autorotation_position",
    "quick_restart: after hold": "hold_clears_quick_restart",
}
"""Steps whose own check the judge of logs makes too."""
LOG, LOG_OR_RECORDING = "a log", "a log or a recording"
BY_HAND = "an answer by hand: a log cannot tell this step"
BLADES_OFF = (
    "blades off, for every bench step with a live motor: throttle hold on, disconnect the pack, take all blades off; "
    "the run is paused, and safety is confirmed anew before it goes on"
)
BY_EAR_NOT = "an answer by hand, or from a log: a recording cannot tell this step"


class BladesHeard(InputError):
    """What was heard for a bench step was heard with blades on."""


def told_by_file(step: Step) -> str:
    """Return which file can answer a step; empty where none can."""
    if step.entry is Entry.HEAD_SPEED or step.step == "soft_start":
        return LOG_OR_RECORDING
    return LOG if _check_of_log(step) else ""


def _check_of_log(step: Step) -> str | None:
    """Return the name of the check of a log that answers a step, where there is one."""
    if step.part == "hold":
        return None if step.step == HOLD_AT_REST else "hold_stops_motor"
    return TOLD_BY.get(step.step)


def check_in(step: Step, judgement: Judgement) -> Verdict | None:
    """Return the check of a log that answers a step as it stands; None where the step takes a figure instead.

    Raises: InputError when no log can answer this step, or this one does not tell: the step stays open.
    """
    name = _check_of_log(step)
    if name is None:
        if step.entry is Entry.HEAD_SPEED:
            return None
        raise InputError(step.title, read=judgement.log, right=BY_HAND)
    _refuse_simulated(step, judgement)
    found = next((check for check in judgement.checks if check.check == name), None)
    if found is None:
        raise InputError(step.title, read=f"{judgement.log} without {name.replace('_', ' ')}", right=BY_HAND)
    if found.verdict is Outcome.UNKNOWN:
        raise InputError(step.title, read=f"{judgement.log}, which does not tell ({found.reason})", right=BY_HAND)
    return found


def head_speed_in(step: Step, judgement: Judgement, source: str) -> Answer:
    """Return the head speed that a log holds at the position of a set-point step.

    Without a throttle channel the log must hold one set speed only.
    Raises: InputError when it was simulated, holds none, or several that cannot be told apart.
    """
    _refuse_simulated(step, judgement)
    for reading in readings_of(judgement):
        if same_position(reading.percent, step.percent or 0.0):
            return Answer(figure=reading.head_speed_rpm, spread=reading.spread_rpm, source=source)
    windows = judgement.steady
    told = [window for window in windows if window.channel_percent is not None]
    if told or not windows:
        read = f"{judgement.log} without steady running at {step.percent:.4g} %"
        raise InputError(step.title, read=read, right="a log that holds this position steadily")
    slowest, fastest = min(w.mean_rpm for w in windows), max(w.mean_rpm for w in windows)
    middle = 0.5 * (slowest + fastest)
    band = max(w.band_half_width_percent for w in windows) / 100.0 * middle
    if fastest - slowest > max(0.01 * middle, 2.0 * band):
        read = f"{judgement.log} with {slowest:.0f} to {fastest:.0f} rpm and no throttle channel"
        raise InputError(step.title, read=read, right="a log of this one set speed")
    spread = max(band, 0.5 * (fastest - slowest), 0.0005 * middle)
    return Answer(figure=middle, spread=spread, source=source)


def _refuse_simulated(step: Step, judgement: Judgement) -> None:
    if judgement.trace.simulated:
        read = f"{judgement.log}, which was simulated: {NO_EVIDENCE}"
        raise InputError(step.title, read=read, right="a log of the machine itself")


def refuse_unheard(step: Step, heard: Listening) -> None:
    """Refuse a recording that no step of a bench run may be answered from.

    Raises: InputError when this machine is not heard in it, or its blades are.
    """
    if not heard.heard:
        raise InputError(
            step.title, read=f"{heard.wav}, in which this machine is not heard", right="a recording of this step"
        )
    refuse_blades(step, heard.wav, heard.sound.blades)


def refuse_blades(step: Step, where: str, blades: Sequence[str]) -> None:
    """Refuse what was heard with blades on: no step of the bench is done so.

    Raises: BladesHeard.
    """
    if blades:
        read = f"{where}, in which {' and '.join(blades)} are heard"
        raise BladesHeard(step.title, read=read, right=BLADES_OFF)


def head_speed_taken(step: Step, held: SpeedTaken) -> Answer:
    """Return the head speed that was held before the microphone, for a set-point step.

    Raises: InputError when the step takes no head speed, or blades are heard.
    """
    if step.entry is not Entry.HEAD_SPEED:
        raise InputError(step.title, read="the microphone", right=BY_EAR_NOT)
    refuse_blades(step, "the microphone", held.blades)
    return Answer(figure=held.head_speed_rpm, spread=held.spread_rpm, source=MICROPHONE)


def head_speed_heard(step: Step, heard: Listening, source: str) -> Answer:
    """Return the head speed that a recording holds, for a set-point step.

    Raises: InputError when the step takes no head speed, or the recording holds none, or several.
    """
    if step.entry is not Entry.HEAD_SPEED:
        raise InputError(step.title, read=heard.wav, right=BY_EAR_NOT)
    right = "a recording of this one set speed, held for some seconds"
    if not heard.set_speeds:
        raise InputError(step.title, read=f"{heard.wav} without a head speed that is held", right=right)
    slowest = min(heard.set_speeds, key=lambda one: one.head_speed_rpm)
    fastest = max(heard.set_speeds, key=lambda one: one.head_speed_rpm)
    if fastest.head_speed_rpm > slowest.head_speed_rpm * (1.0 + SAME_SPEED_SHARE):
        read = f"{heard.wav} with {slowest.head_speed_rpm:.0f} to {fastest.head_speed_rpm:.0f} rpm"
        raise InputError(step.title, read=read, right=right)
    low, high = slowest.head_speed_rpm_interval[0], fastest.head_speed_rpm_interval[1]
    return Answer(figure=0.5 * (low + high), spread=0.5 * (high - low), source=source)
