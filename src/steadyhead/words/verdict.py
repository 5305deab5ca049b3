"""A verdict is pass, fail or unknown, with the reason, the figure, the limit, and where the limit came from.

How doubt is judged, in one place: where a figure has a 90 % interval, it passes only when the whole interval keeps the
limit, it fails when the figure itself is beyond the limit, and it is unknown when the figure keeps the limit but its
interval reaches over it. A log's fail whose interval reaches to the good side is unknown (`unless_it_may_hold`): there
a better log can be had. A figure within a billionth of its limit is on it, since both went through units.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

ROUNDING = 1e-9
LEAST_DIGITS, MOST_DIGITS = 4, 10


class Outcome(StrEnum):
    """The three words a check can end in. Unknown is never pass."""

    PASS = "pass"
    FAIL = "fail"
    UNKNOWN = "unknown"


@dataclass(frozen=True, kw_only=True)
class Limit:
    """A number that a figure is held against, and who set it."""

    value: float
    unit: str
    origin: str

    def __str__(self) -> str:
        """Say the limit with its unit and origin."""
        return f"{self.value:g} {self.unit} ({self.origin})"


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """One check, judged. `limit_text` says the limit as a person would: `<= 4 %`."""

    check: str
    verdict: Outcome
    reason: str
    figure: float | None = None
    figure_interval: tuple[float, float] | None = None
    unit: str = ""
    limit: float | None = None
    limit_text: str = ""
    limit_origin: str = ""
    needs: tuple[str, ...] = ()

    @classmethod
    def unknown(cls, check: str, reason: str, *, needs: Iterable[str] = ()) -> "Verdict":
        """Judge that nothing can be said, why, and what would be needed to say more."""
        return cls(check=check, verdict=Outcome.UNKNOWN, reason=reason, needs=tuple(needs))

    @classmethod
    def at_most(
        cls,
        check: str,
        figure: float | None,
        limit: Limit | None,
        *,
        what: str,
        interval: tuple[float, float] | None = None,
    ) -> "Verdict":
        """Judge `figure` against a limit it must not exceed; on the limit passes (ISO 8528-5: "not more than")."""
        return cls._held(check, figure, limit, what, interval, sign=1.0, word="<=")

    @classmethod
    def at_least(
        cls,
        check: str,
        figure: float | None,
        limit: Limit | None,
        *,
        what: str,
        interval: tuple[float, float] | None = None,
    ) -> "Verdict":
        """Judge `figure` against a limit it must reach."""
        return cls._held(check, figure, limit, what, interval, sign=-1.0, word=">=")

    @classmethod
    def between(
        cls,
        check: str,
        figure: float | None,
        low: Limit | None,
        high: Limit | None,
        *,
        what: str,
        interval: tuple[float, float] | None = None,
    ) -> "Verdict":
        """Judge `figure` against a band: the worse of its two ends, the upper end where both are alike.

        A pass says both ends; the text of the limit says both, the one it is judged against first.
        """
        upper = cls.at_most(check, figure, high, what=what, interval=interval)
        lower = cls.at_least(check, figure, low, what=what, interval=interval)
        if low and high and figure is not None and upper.verdict is lower.verdict is Outcome.PASS:
            unit = f" {high.unit}" if high.unit else ""
            origin = high.origin if low.origin == high.origin else f"{low.origin}; {high.origin}"
            says = f"{what} is {figure:.4g}{unit}, limits {low.value:.4g} to {high.value:.4g}{unit} ({origin})"
            return replace(upper, reason=says, limit_text=f"{upper.limit_text}, {lower.limit_text}")
        judged, other = (lower, upper) if worst((upper.verdict, lower.verdict)) is not upper.verdict else (upper, lower)
        texts = [one.limit_text for one in (judged, other) if one.limit_text]
        return replace(judged, limit_text=", ".join(texts))

    def but(self, why: str, *, needs: Iterable[str]) -> "Verdict":
        """Return the same verdict as unknown: behind its reason what speaks against it, and what would settle it."""
        return replace(self, verdict=Outcome.UNKNOWN, reason=f"{self.reason}; but {why}", needs=tuple(needs))

    def doubted(self, interval: tuple[float, float]) -> "Verdict":
        """Return the same verdict with another interval, in the words that tell its ends, too."""
        reason = self.reason
        if self.figure_interval is not None:
            reason = reason.replace(_ends(self.figure_interval), _ends(interval))
        return replace(self, figure_interval=interval, reason=reason)

    def unless_it_may_hold(self, needs: str) -> "Verdict":
        """Return the same verdict, but unknown where it fails and its doubt reaches to the good side of the limit."""
        ends = self.figure_interval
        if self.verdict is not Outcome.FAIL or ends is None or self.limit is None:
            return self
        may_hold = min(ends) <= self.limit if self.limit_text.startswith("<=") else max(ends) >= self.limit
        return replace(self, verdict=Outcome.UNKNOWN, needs=(needs,)) if may_hold else self

    @classmethod
    def _held(
        cls,
        check: str,
        figure: float | None,
        limit: Limit | None,
        what: str,
        interval: tuple[float, float] | None,
        *,
        sign: float,
        word: str,
    ) -> "Verdict":
        if figure is None or math.isnan(figure):
            return cls.unknown(check, f"{what} is not known", needs=(what,))
        if limit is None:
            return cls(
                check=check,
                verdict=Outcome.UNKNOWN,
                reason=f"{what} is {figure:.4g}, but its limit is not known",
                figure=figure,
                figure_interval=interval,
                needs=(f"the limit of {what}",),
            )
        outcome, doubt = _judged(figure, limit, interval, sign)
        unit = f" {limit.unit}" if limit.unit else ""
        told, held_to = _told_apart(figure, limit.value)
        says = f"{what} is {told}{unit}, limit {word} {held_to}{unit} ({limit.origin})"
        return cls(
            check=check,
            verdict=outcome,
            reason=says + doubt,
            figure=figure,
            figure_interval=interval,
            unit=limit.unit,
            limit=limit.value,
            limit_text=f"{word} {limit.value:g} {limit.unit}".strip(),
            limit_origin=limit.origin,
            needs=(f"a smaller doubt on {what}",) if doubt and outcome is Outcome.UNKNOWN else (),
        )


def _told_apart(figure: float, limit: float) -> tuple[str, str]:
    """Return both as text, with more digits than four where they would look alike and are not."""
    for digits in range(LEAST_DIGITS, MOST_DIGITS):
        told, held_to = f"{figure:.{digits}g}", f"{limit:.{digits}g}"
        if told != held_to or abs(figure - limit) <= ROUNDING * abs(limit):
            return told, held_to
    return f"{figure:.{MOST_DIGITS}g}", f"{limit:.{MOST_DIGITS}g}"


def _judged(figure: float, limit: Limit, interval: tuple[float, float] | None, sign: float) -> tuple[Outcome, str]:
    """Return the outcome, and the words on its doubt when the interval lies on both sides of the limit."""
    bound = sign * limit.value + ROUNDING * abs(limit.value)
    held = sign * figure <= bound
    if interval is None:
        return (Outcome.PASS if held else Outcome.FAIL), ""
    ends = [sign * end <= bound for end in interval]
    says = f", but its doubt runs {_ends(interval)}"
    if not held:
        return Outcome.FAIL, f"{says}: it may hold" if any(ends) else ""
    return (Outcome.PASS, "") if all(ends) else (Outcome.UNKNOWN, f"{says}: it may not hold")


def _ends(interval: tuple[float, float]) -> str:
    return f"from {interval[0]:.4g} to {interval[1]:.4g}"


def no_pass_of(
    names: Iterable[str], checks: Iterable[Verdict], why: str, *, needs: Iterable[str]
) -> tuple[Verdict, ...]:
    """Return the checks, with the passes of those named taken back: `why` speaks against them."""
    return _taken_back(names, checks, why, needs, (Outcome.PASS,))


def unknown_of(
    names: Iterable[str], checks: Iterable[Verdict], why: str, *, needs: Iterable[str]
) -> tuple[Verdict, ...]:
    """Return the checks, with those named unknown, whether they passed or failed: `why` speaks against either."""
    return _taken_back(names, checks, why, needs, (Outcome.PASS, Outcome.FAIL))


def _taken_back(
    names: Iterable[str], checks: Iterable[Verdict], why: str, needs: Iterable[str], which: tuple[Outcome, ...]
) -> tuple[Verdict, ...]:
    named, settle = frozenset(names), tuple(needs)
    return tuple(
        check.but(why, needs=(*check.needs, *settle)) if check.verdict in which and check.check in named else check
        for check in checks
    )


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """Return the outcome of several checks together: fail before unknown before pass; of none, unknown."""
    seen = set(outcomes)
    for outcome in (Outcome.FAIL, Outcome.UNKNOWN, Outcome.PASS):
        if outcome in seen:
            return outcome
    return Outcome.UNKNOWN
