"""The table of verdicts against the truth that the counts of dirty and of foreign logs share."""

from collections import Counter

COLUMNS = (
    ("fail", "pass"), ("pass", "fail"), ("fail", "fail"), ("fail", "unknown"), ("pass", "pass"), ("pass", "unknown"),
)  # fmt: skip


def verdict_rows(verdicts: Counter[tuple[str, str, str]]) -> list[str]:
    """Return a row of Markdown for each check and one for all, misses first; counts by check, truth and verdict."""
    lines = [
        "| check | fault passed | false alarm | fault found | unknown | sound passed | unknown | not shown, judged |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    total: Counter[int] = Counter()
    for name in dict.fromkeys(check for check, _, _ in verdicts):
        cells = [verdicts[name, true, said] for true, said in COLUMNS]
        cells.append(sum(verdicts[name, "not_exercised", said] for said in ("pass", "fail")))
        lines.append(f"| `{name}` | {' | '.join(map(str, cells))} |")
        total.update(dict(enumerate(cells)))
    return [*lines, f"| all | {' | '.join(str(total[k]) for k in range(len(COLUMNS) + 1))} |"]
