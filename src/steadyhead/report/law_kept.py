"""How many of the kept readings of the set-point law no longer count, and why."""

from collections.abc import Iterator

from steadyhead.bench.law_evidence import LawEvidence
from steadyhead.report.names import key_name
from steadyhead.report.sentences import counted, listed


def law_words(law: LawEvidence) -> Iterator[str]:
    """Yield a sentence on what no longer counts, and one on logs without kept readings; nothing where all count."""
    if law.void:
        since = dict.fromkeys(change for one in law.void for change in one.since)
        those = counted(len(law.void), "kept reading no longer counts", "kept readings no longer count")
        yield f"{those}: changed since they were taken: {listed([key_name(key) for key in since])}. Read them anew."
    if law.unread:
        yield (
            f"Readings of {listed(list(law.unread))} do not count: an older steadyhead kept none with a log. "
            "Bring it again on the page Logs."
        )
