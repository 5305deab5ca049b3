"""What people call the logs that are kept: no two alike, and how many of them count."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from steadyhead.bench.shelf import KeptLog
from steadyhead.judge.result import Judgement
from steadyhead.report.names import check_name, key_name
from steadyhead.report.sentences import counted, listed
from steadyhead.report.wording import MARKS, moment
from steadyhead.words.verdict import Outcome


@dataclass(frozen=True, kw_only=True)
class LogsShown:
    """Logs out of the record on a sheet: what each is called, and a sentence where others are kept."""

    names: tuple[str, ...]
    since: tuple[tuple[str, ...], ...]
    """What changed since each was flown: keys of the machine file."""
    standing: str = ""


def logs_shown(logs: Sequence[KeptLog], since: Callable[[KeptLog], tuple[str, ...]]) -> LogsShown:
    """Return how the logs that count are shown on a sheet; `since` says what changed since one was flown."""
    taken = [log for log in logs if log.is_evidence]
    names = tuple(log.name for log in taken)
    return LogsShown(
        names=names, since=tuple(map(since, taken)), standing=standing_words(logs) if len(names) < len(logs) else ""
    )


def flown_before(since: Sequence[str]) -> str:
    """Say that a log was flown before the machine changed; `since`: the keys that did."""
    return (
        f"Kept before this changed: {listed([key_name(key) for key in since])}. What rests on it is no longer proved."
    )


def kept_verdict(log: KeptLog) -> str:
    """Say what a log said when it was kept."""
    outcome = Outcome(log.verdict)
    return f"{MARKS[outcome]} {outcome.value}, as judged when it was kept"


def verdict_words(judgement: Judgement) -> str:
    """Say the verdict on a log in one line, with what failed."""
    failed = [check_name(check.check).lower() for check in judgement.checks if check.verdict is Outcome.FAIL]
    said = f": {listed(failed)}" if failed else ""
    return f"{judgement.log}: {MARKS[judgement.verdict]} {judgement.verdict.value}{said}."


def log_labels(logs: Sequence[KeptLog]) -> dict[str, str]:
    """Return what each log is called, by its key: name, revision, when it was brought, how its columns were said.

    Logs that would still be called alike are numbered, the oldest first.
    """
    told = {log.id: _called(log) for log in reversed(logs)}
    alike, seen = Counter(told.values()), Counter[str]()
    labels = {}
    for key, words in told.items():
        seen[words] += 1
        labels[key] = f"{words} (number {seen[words]})" if alike[words] > 1 else words
    return labels


def _called(log: KeptLog) -> str:
    said = ", ".join(f"{heading} = {meaning}" for heading, meaning in log.standing.said.items())
    read = f"; read with {said}" if said else ""
    return f"{log.name}, revision {log.revision}, {moment(log.kept_on)}{read}"


def standing_words(logs: Sequence[KeptLog]) -> str:
    """Say how many of the kept logs count, and why the others do not."""
    taken = sum(log.is_evidence for log in logs)
    out = sum(log.is_current and log.standing.left_out for log in logs)
    replaced = sum(log.standing.replaced for log in logs)
    blank = sum(not log.standing.replaced and not log.standing.understood for log in logs)
    unflown = sum(log.standing.understood and log.standing.simulated and not log.standing.replaced for log in logs)
    told = [
        f"{counted(taken, 'log is', 'logs are')} taken as evidence",
        f"{out} left out by you" if out else "",
        f"{replaced} replaced by a newer reading" if replaced else "",
        f"{unflown} simulated, no evidence of what the machine does" if unflown else "",
        f"{blank} of which nothing was understood" if blank else "",
    ]
    return f"{'; '.join(words for words in told if words)}."
