"""What a judged log, or a judged recording, answers to the step that is being done."""

from steadyhead.bench.step import Answer, Entry, Step
from steadyhead.judge.commands import same_position
from steadyhead.judge.readings import readings as readings_of
from steadyhead.judge.result import Judgement
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Verdict

TOLD_BY = {
    "soft_start": "soft_start_time",
    "autorotation: rest": "no_start_in_autorotation_position",
    "quick_restart: after hold": "hold_clears_quick_restart",
}
"""Steps whose own check the judge of logs makes too."""
BY_HAND = "an answer by hand: a log cannot tell this step"


def check_in(step: Step, judgement: Judgement) -> Verdict | None:
    """Return the check of a log that answers a step as it stands; None where the step takes a figure instead.

    Raises: InputError when no log can answer this step.
    """
    name = "hold_stops_motor" if step.part == "hold" and step.step != "hold_from: rest" else TOLD_BY.get(step.step)
    if name is None:
        if step.entry is Entry.HEAD_SPEED:
            return None
        raise InputError(step.title, read=judgement.log, right=BY_HAND)
    found = next((check for check in judgement.checks if check.check == name), None)
    if found is None:
        raise InputError(step.title, read=f"{judgement.log} without {name.replace('_', ' ')}", right=BY_HAND)
    return found


def head_speed_in(step: Step, judgement: Judgement, source: str) -> Answer:
    """Return the head speed that a log holds at the position of a set-point step.

    Without a throttle channel, as in a recording of sound, the log must hold one set speed only.
    Raises: InputError when it holds none, or several that cannot be told apart.
    """
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
        raise InputError(step.title, read=read, right="a recording of this one set speed")
    spread = max(band, 0.5 * (fastest - slowest), 0.0005 * middle)
    return Answer(figure=middle, spread=spread, source=source)
