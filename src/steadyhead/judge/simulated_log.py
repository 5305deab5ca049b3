"""A log that says of itself that it was simulated: nothing passes by it."""

from steadyhead.trace.simulated import FLOWN, NO_EVIDENCE
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Verdict, no_pass_of

WARNING = f"the file says that it was simulated by steadyhead: {NO_EVIDENCE}, so nothing passes by it"


def unless_simulated(checks: tuple[Verdict, ...], trace: Trace) -> tuple[Verdict, ...]:
    """Return the checks of a log, those that pass as unknown where its file says that it was simulated."""
    if not trace.simulated:
        return checks
    return no_pass_of([check.check for check in checks], checks, NO_EVIDENCE, needs=(FLOWN,))
