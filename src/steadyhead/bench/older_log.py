"""A log that was flown before the machine changed: what it still proves of the machine as it is now."""

from collections.abc import Sequence
from dataclasses import replace

from steadyhead.bench.void import changes_of, is_void
from steadyhead.judge.result import Judgement
from steadyhead.words.verdict import Outcome, Verdict, no_pass_of, worst

TEETH = "gears."


def as_flown(judgement: Judgement, since: Sequence[str]) -> Judgement:
    """Return a judged log with the passes taken back that rest on what changed since it was flown.

    `since`: the keys of the machine file, as `void.part_changes` names them. What failed still fails: only a newer
    flight shows that it is mended.
    """
    if not since:
        return judgement
    changes = {change for key in since for change in changes_of(key)}
    gone = [check.check for check in judgement.checks if any(is_void(check.check, change) for change in changes)]
    said = f"the log was flown before {', '.join(since)} changed"
    checks = no_pass_of(gone, judgement.checks, said, needs=("a log of the machine as it is now",))
    checks = tuple(_still_failed(check, said) if check.check in gone else check for check in checks)
    of_teeth = any(key.startswith(TEETH) for key in since)
    by_teeth = " A head speed worked out from the motor's has today's teeth in it." if of_teeth else ""
    warning = f"{said}: what rests on that proves nothing of the machine as it is now.{by_teeth}"
    return replace(
        judgement,
        checks=checks,
        verdict=worst(check.verdict for check in checks),
        warnings=(warning[:1].upper() + warning[1:], *judgement.warnings),
    )


def _still_failed(check: Verdict, said: str) -> Verdict:
    """Return a fail with the remark that the machine changed since; any other verdict as it is."""
    if check.verdict is not Outcome.FAIL:
        return check
    return replace(check, reason=f"{check.reason}; {said}: only a newer flight shows whether it is mended")
