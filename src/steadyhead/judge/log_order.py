"""Logs that are dated, put in the order in which they were made, whatever the order in which they were given."""

from collections.abc import Sequence
from itertools import pairwise

from steadyhead.judge.result import Judgement


def by_date(logs: Sequence[Judgement]) -> tuple[list[Judgement], tuple[str, ...]]:
    """Return logs in the order of the dates written in them, and a sentence where that is another than was given.

    Where only some are dated, and those stand out of order, they stay as given, and that is said.
    """
    dated = [(log.trace.began_s, log) for log in logs if log.trace.began_s is not None]
    late = next((log for (before, _), (after, log) in pairwise(dated) if after < before), None)
    if late is None:
        return list(logs), ()
    if len(dated) < len(logs):
        said = f"{late.log} was begun before a dated log that was given before it, and not every log has a date: "
        return list(logs), (said + "give the logs in the order in which they were made",)
    ordered = [log for _, log in sorted(dated, key=lambda one: one[0])]
    said = "the logs were given in another order than they were made: put in the order of their dates"
    return ordered, (said,)
