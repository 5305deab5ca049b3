"""A flyer at an invented bench: answers every step from one law and one run logic, in words as they are typed."""

from steadyhead.bench.step import Entry, Step

LAW_RPM = (590.0, 20.0)
"""Head speed at 0 % and per percent: the invented machine Fox 600 on its bench."""


def head_speed(percent: float) -> float:
    return LAW_RPM[0] + LAW_RPM[1] * percent


def typed(step: Step) -> str:
    """Return what the flyer types where everything is as it should be."""
    if step.entry in (Entry.YES, Entry.YES_OR_NO):
        return "yes"
    if step.entry is Entry.HEAD_SPEED:
        return f"{head_speed(step.percent):.1f}+-4"
    if step.entry is Entry.START_KIND:
        return step.expected_word
    return f"{step.expected:g}"
