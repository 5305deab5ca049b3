"""An answer as a person types it: `1710`, `1710+-5 rpm`, `yes`, `no it crept`, `quick 1.8 s`, `skip no tachometer`."""

import re

from steadyhead.bench.step import SKIP, Answer, Entry, Step
from steadyhead.channel.reading_set import HIGHEST_RPM, LOWEST_RPM
from steadyhead.words.errors import InputError
from steadyhead.words.typed_number import NUMBER, number_typed

UNIT = {Entry.PULSE: "us|µs", Entry.PERCENT: "%|percent", Entry.SECONDS: "s|sec|seconds", Entry.HEAD_SPEED: "rpm"}
BOUNDS = {
    Entry.PULSE: (500.0, 2500.0),
    Entry.PERCENT: (0.0, 100.0),
    Entry.SECONDS: (0.0, 600.0),
    Entry.HEAD_SPEED: (LOWEST_RPM, HIGHEST_RPM),
}
LIKE = {
    Entry.YES: "yes, once it is so",
    Entry.YES_OR_NO: "yes or no; or skip",
    Entry.PULSE: "a pulse width in us like 1100; or skip",
    Entry.PERCENT: "a channel position in percent like 22; or skip",
    Entry.SECONDS: "a time in seconds like 14.5; or skip",
    Entry.HEAD_SPEED: "a head speed in rpm like 1710 or 1710+-5; or skip",
    Entry.START_KIND: "soft or quick, with its time if you have it, like quick 1.8; or skip",
}
YES, NO = {"yes", "y"}, {"no", "n"}
PLAIN_YES = re.compile(r"(?:(?:yes|y)[\s,.;:!]*)+", re.ASCII)
"""A yes may be said twice; one with any other word to it may be a no, as in `yes but it crept on`."""
ONLY_YES = "yes alone where it is wholly so, else no and what you noticed"
WORDS = {
    Entry.YES: ("yes",),
    Entry.YES_OR_NO: ("yes", "no"),
    Entry.START_KIND: ("soft", "quick"),
}
"""The words that a step may be answered with, where it asks for no figure."""


def answer_from_text(step: Step, text: str, source: str = "by hand") -> Answer:
    """Return the answer that a person typed to a step.

    Raises: InputError when it is none that this step can take.

    >>> from steadyhead.bench.step import Step
    >>> step = Step(step="a", part="", title="", action=(), switch="", asks="", entry=Entry.HEAD_SPEED)
    >>> answer_from_text(step, "1710 +- 5 rpm").spread
    5.0
    """
    said = " ".join(text.split())[:400]
    first, _, rest = said.partition(" ")
    word = first.lower().rstrip(",.;:")
    if step.may_be_left_out and word == SKIP:
        return Answer(word=SKIP, source=source, note=rest)
    if step.entry in (Entry.YES, Entry.YES_OR_NO):
        if PLAIN_YES.fullmatch(said.lower()):
            return Answer(word="yes", source=source)
        if word in NO and step.entry is Entry.YES_OR_NO:
            return Answer(word="no", source=source, note=rest)
        if word in YES and step.entry is Entry.YES_OR_NO:
            raise InputError(step.title, read=ascii(said[:60]), right=ONLY_YES)
        raise _refusal(step, said)
    if step.entry is Entry.START_KIND:
        return _start_kind(step, said, source)
    return _figure(step, said, source)


def _start_kind(step: Step, said: str, source: str) -> Answer:
    found = re.fullmatch(rf"(soft|quick)\b(?:\s+({NUMBER})\s*(?:s|sec|seconds)?)?", said.lower())
    if found is None:
        raise _refusal(step, said)
    word, seconds = found.groups()
    return Answer(word=word, figure=number_typed(seconds) if seconds else None, source=source)


def _figure(step: Step, said: str, source: str) -> Answer:
    unit = UNIT[step.entry]
    found = re.fullmatch(rf"({NUMBER})\s*(?:{unit})?\s*(?:(?:\+-|\+/-|±)\s*({NUMBER})\s*(?:{unit})?)?", said.lower())
    if found is None:
        raise _refusal(step, said)
    figure, spread = number_typed(found.group(1)), number_typed(found.group(2)) if found.group(2) else 0.0
    answer = Answer(figure=figure, spread=spread, source=source)
    refuse_impossible(step, answer)
    return answer


def like(step: Step) -> str:
    """Return what an answer to a step looks like."""
    return LIKE[step.entry] if step.may_be_left_out else LIKE[step.entry].partition("; or skip")[0]


def refuse_impossible(step: Step, answer: Answer) -> None:
    """Refuse a word that is no answer to the step, and a figure that cannot be one.

    Raises: InputError.
    """
    if answer.word == SKIP and step.may_be_left_out:
        return
    if answer.word not in WORDS.get(step.entry, ("",)):
        raise _refusal(step, answer.word)
    if step.entry is Entry.START_KIND:
        _refuse_impossible_time(step, answer)
    if step.entry not in BOUNDS:
        return
    if answer.figure is None:
        raise _refusal(step, "no figure")
    low, high = BOUNDS[step.entry]
    if not low <= answer.figure <= high or not 0.0 <= answer.spread <= max(answer.figure, 1.0):
        right = f"{low:g} to {high:g} {step.unit}"
        raise InputError(step.title, read=f"{answer.figure:g} {step.unit}, spread {answer.spread:g}", right=right)


def _refuse_impossible_time(step: Step, answer: Answer) -> None:
    low, high = BOUNDS[Entry.SECONDS]
    if answer.figure is not None and not low <= answer.figure <= high:
        raise InputError(step.title, read=f"{answer.figure:g} s", right=f"{low:g} to {high:g} s, or no time")


def _refusal(step: Step, said: str) -> InputError:
    return InputError(step.title, read=ascii(said[:60]), right=like(step))
