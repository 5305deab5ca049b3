"""Speed columns: which is the head, which the motor; a dead or unclear one is kept out or asked about."""

from collections import defaultdict

import numpy as np

from steadyhead.trace.gearing import Gearing
from steadyhead.trace.impossible import level_of
from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import Claim
from steadyhead.trace.offered import Converted
from steadyhead.trace.quick_look import holds_a_value
from steadyhead.trace.rivals import NAMED, alike
from steadyhead.trace.speeds import SpeedSeen, is_driven_as_said, kinds_that_fit, speed_seen
from steadyhead.trace.trace import Series
from steadyhead.trace.unsure import UnsureColumns


def speeds_offered(
    source: str, claims: list[Claim], gearing: Gearing, drive_rpm: Series | None
) -> tuple[list[tuple[Claim, Converted]], list[str]]:
    """Return what each speed column gives, the surest first, and warnings for those that are kept out.

    `drive_rpm` is duty × pack voltage × Kv, where all three are known. Shapes: drive_rpm (n,)
    Raises: UnsureColumns when a column is unclear and no other speed is sure.
    """
    offers: list[tuple[Claim, Converted]] = []
    unclear: list[tuple[Claim, UnsureColumns]] = []
    known: Series | None = None
    for claim in sorted(claims, key=lambda claim: (-claim.rank, claim.meaning != "head_speed_rpm")):
        rpm = _rpm(claim, gearing)
        if not holds_a_value(rpm):
            offers.append((claim, Converted(_empty_speed(claim), rpm)))
            continue
        try:
            seen = speed_seen(source, claim.heading.text, claim.meaning, rpm, gearing, drive_rpm, known)
        except UnsureColumns as unsure:
            if claim.by_person:
                raise
            unclear.append((claim, unsure))
            continue
        offer = _offered(seen, rpm)
        offers.append((claim, offer))
        sure = claim.rank >= NAMED or is_driven_as_said(offer.values, gearing, drive_rpm)
        known = offer.values if known is None and sure else known
    if unclear and known is None:
        raise unclear[0][1]
    return offers, [f"{claim.column.heading}: kept out, {unsure.read}" for claim, unsure in unclear]


def _offered(seen: SpeedSeen, rpm: Series) -> Converted:
    scaled = rpm / seen.divide_by if seen.divide_by != 1.0 else rpm
    said, doubts = ((), (seen.said,)) if seen.doubtful else ((seen.said,), ())
    return Converted(seen.channel, scaled, said, doubts, seen.divide_by)


def _rpm(claim: Claim, gearing: Gearing) -> Series:
    """Return the column in rpm; of a factor that may be meant both ways the one that some speed of the machine fits."""
    values, unit = values_of(claim), claim.heading.unit
    if unit is None:
        return values
    factor = unit.factor
    if unit.other_factor is not None and not claim.by_person:
        level = level_of(values)
        fits = [f for f in (factor, unit.other_factor) if kinds_that_fit(claim.meaning, f * level, gearing)]
        factor = fits[0] if len(fits) == 1 else factor
    return values * factor if factor != 1.0 else values


def distinct_speeds(claims: list[Claim]) -> tuple[list[Claim], list[str]]:
    """Return the claims less columns of one and the same name that differ, and what is to be said of those."""
    named: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        named[claim.column.heading.strip().casefold()].append(claim)
    keep: list[Claim] = []
    warnings: list[str] = []
    for same in named.values():
        by_person = [claim for claim in same if claim.by_person]
        first = same[0]
        if len(same) == 1 or by_person:
            keep.extend(by_person or same)
        elif all(alike(values_of(first), values_of(other)) for other in same[1:]):
            warnings.append(f"{len(same)} columns are called {first.column.heading} and say the same: one is used")
            keep.append(first)
        else:
            factor = _factor(values_of(first), values_of(same[1]))
            option = option_for(f"{first.column.heading}#2", "head_speed_rpm", "rpm")
            warnings.append(
                f"{len(same)} columns are called {first.column.heading} and differ (by a factor of {factor:.3g}): "
                f'none is used; say which, for example --column "{option}"'
            )
    return keep, warnings


def values_of(claim: Claim) -> Series:
    """Return the numbers of a claim's column; none when it holds text. Shapes: (n,)"""
    return claim.column.number if claim.column.number is not None else np.empty(0)


def _empty_speed(claim: Claim) -> str:
    return "head_speed_rpm" if claim.meaning in ("head_speed_rpm", "some_speed_rpm") else "motor_side_speed_rpm"


def _factor(one: Series, other: Series) -> float:
    both = np.isfinite(one) & np.isfinite(other) & (np.abs(other) > 0.1 * np.nanmax(np.abs(other), initial=0.0))
    if not both.any():
        return float("nan")
    ratio = float(np.median(np.abs(one[both] / other[both])))
    return max(ratio, 1.0 / ratio) if ratio else float("inf")
