"""Sentences and lists for people, made of the words of the other rooms."""

import re
from collections.abc import Sequence

from steadyhead.report.names import humanised

_PRINTED = (
    (re.compile("<="), "≤"),
    (re.compile(">="), "≥"),
    (re.compile(r"(?<=\d) ?deg ?C\b"), " °C"),
    (re.compile(r"(?<=\d) us\b|(?<=\bin) us(?=\?)"), " µs"),
    (re.compile(r"(?<=\d) mohm\b"), " mΩ"),
    (re.compile(r"(?<=\d) deg\b"), "°"),
    (re.compile(r"\bm2\b"), "m²"),
    (re.compile(r"\bcm2\b"), "cm²"),
    (re.compile(r"(?<=[≤≥] )-"), "−"),
    (re.compile(r"\s+(?=[,;:.](\s|$))"), ""),
)


def tidy(words: str) -> str:
    """Return words of another room with signs as they are printed."""
    for plain_sign, printed in _PRINTED:
        words = plain_sign.sub(printed, words)
    return words


def sentence(words: str) -> str:
    """Return words as a sentence: a capital at the start, a full stop at the end."""
    words = humanised(tidy(words.strip()))
    return words[:1].upper() + words[1:] + ("" if words.endswith((".", "!", "?", ":")) else ".")


def listed(words: Sequence[str], *, most: int | None = None, rest: str = "more") -> str:
    """Return words as a list in a sentence: `a, b and c`; past `most` it says how many are left out."""
    if not words:
        return "none"
    if most is not None and len(words) > most:
        return f"{', '.join(words[:most])} and {len(words) - most} {rest}"
    if len(words) == 1:
        return words[0]
    return f"{', '.join(words[:-1])} and {words[-1]}"


def quoted(names: Sequence[str], *, most: int | None = None) -> str:
    """Return names of checks as a list, in quotes: a failed “quick restart is granted” must not read as granted."""
    return listed([f"“{name}”" for name in names], most=most)


def counted(count: int, one: str, many: str | None = None) -> str:
    """Return a count with its noun: `1 check`, `3 checks`."""
    return f"{count} {one if count == 1 else many or one + 's'}"
