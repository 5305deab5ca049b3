"""From claims to channels: one column for each channel, and never a choice in silence."""

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from steadyhead.trace.converting import Converted, converted
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import SURE, Claim
from steadyhead.trace.quick_look import holds_a_value
from steadyhead.trace.speeds import speed_seen
from steadyhead.trace.table import RawTable
from steadyhead.trace.trace import ColumnRead, Series
from steadyhead.trace.unsure import UnsureColumns

_SPEEDS = ("head_speed_rpm", "motor_side_speed_rpm", "motor_speed_rpm", "electrical_speed_rpm", "some_speed_rpm")
_MATTERS = ("head_speed_rpm", "motor_side_speed_rpm")
_SAME_SHARE = 0.01
_NAMED = 2
"""The rank of a heading that names its meaning; a lower one is a guess that may not decide for another column."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """One channel and the heading it came from. Shapes: values (n,)."""

    heading: str
    values: Series
    rank: int
    doubtful: bool = False

    @property
    def confidence(self) -> str:
        """How sure it is that the column holds this channel, in a word or two."""
        if self.rank >= SURE:
            return "said by you"
        if self.doubtful:
            return "doubtful"
        return "named" if self.rank >= _NAMED else "likely" if self.rank else "worked out"


@dataclass(kw_only=True)
class Channels:
    """All channels of a table, with what was done and what is doubtful."""

    found: dict[str, Found] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)
    history: list[str] = field(default_factory=list)

    @property
    def columns(self) -> tuple[ColumnRead, ...]:
        """What each channel was read from."""
        return tuple(
            ColumnRead(channel=name, heading=found.heading, confidence=found.confidence)
            for name, found in self.found.items()
        )


def channels_of(
    source: str, table: RawTable, claims: tuple[Claim, ...], gearing: Gearing, used: frozenset[int]
) -> Channels:
    """Return the channels that the claims make.

    Raises: UnsureColumns when two columns of different names could be the head speed, or a speed is unclear.
    """
    out = Channels()
    wanted = [c for c in claims if c.at not in used and c.meaning != "time" and c.column.number is not None]
    rest = [claim for claim in wanted if claim.meaning not in _SPEEDS]
    for claim, made in [
        (claim, converted(claim, gearing, table.remarks)) for claim in _cells_joined(rest, gearing, out)
    ]:
        if made is None:
            out.warnings.append(f"{claim.heading.text}: left out, {_why_not(claim)}")
        else:
            _put(source, out, claim, made)
    _put_speeds(source, _distinct_speeds(source, [c for c in wanted if c.meaning in _SPEEDS], out), gearing, out)
    _say_unused(table, claims, used, out)
    return out


def _put_speeds(source: str, claims: list[Claim], gearing: Gearing, out: Channels) -> None:
    """Give the speed channels their columns, the surest first; once a speed is known, an unclear one is kept out."""
    drive = _drive_rpm(out, gearing)
    for claim in sorted(claims, key=lambda claim: -claim.rank):
        unit = claim.heading.unit
        values = _values(claim)
        rpm = values * unit.factor if unit and unit.factor != 1.0 else values
        if not holds_a_value(rpm):
            _put(source, out, claim, Converted(_empty_speed(claim), rpm))
            continue
        sure = (out.found[name] for name in _MATTERS if name in out.found)
        known = next((found.values for found in sure if found.rank >= _NAMED), None)
        try:
            seen = speed_seen(source, claim.heading.text, claim.meaning, rpm, gearing, drive, known)
        except UnsureColumns as unsure:
            if claim.by_person or known is None:
                raise
            out.warnings.append(f"{claim.column.heading}: kept out, {unsure.read}")
            continue
        scaled = rpm / seen.divide_by if seen.divide_by != 1.0 else rpm
        said, doubts = ((), (seen.said,)) if seen.doubtful else ((seen.said,), ())
        _put(source, out, claim, Converted(seen.channel, scaled, said, doubts))


def _put(source: str, out: Channels, claim: Claim, made: Converted) -> None:
    """Give a channel its column; of two, the surer; of two alike and equal, the first; else none."""
    old = out.found.get(made.channel)
    new = Found(heading=claim.column.heading, values=made.values, rank=claim.rank, doubtful=bool(made.warnings))
    if old is not None and old.rank == new.rank and not _alike(old.values, new.values):
        if made.channel in _MATTERS:
            raise UnsureColumns(
                source,
                read=f"two columns that may be {made.channel}: {old.heading!r} and {new.heading!r}",
                options=(option_for(old.heading, made.channel), option_for(new.heading, made.channel)),
            )
        out.warnings.append(
            f"{old.heading} and {new.heading} may both be {made.channel}: the first is used; "
            f'to change that: --column "{option_for(new.heading, made.channel)}"'
        )
        return
    if old is not None and old.rank >= new.rank:
        out.history.append(f"{new.heading}: not used, {old.heading} is the surer {made.channel}")
        return
    if old is not None:
        out.history.append(f"{old.heading}: not used, {new.heading} is the surer {made.channel}")
    out.found[made.channel] = new
    out.history.extend(made.said)
    out.warnings.extend(made.warnings)


def _distinct_speeds(source: str, claims: list[Claim], out: Channels) -> list[Claim]:
    """Set aside columns of one and the same name that differ: none of them is chosen in silence."""
    named: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        named[claim.column.heading.strip().casefold()].append(claim)
    keep: list[Claim] = []
    for same in named.values():
        by_person = [claim for claim in same if claim.by_person]
        first = same[0]
        if len(same) == 1 or by_person:
            keep.extend(by_person or same)
        elif all(_alike(_values(first), _values(other)) for other in same[1:]):
            out.warnings.append(f"{len(same)} columns are called {first.column.heading} and say the same: one is used")
            keep.append(first)
        else:
            factor = _factor(_values(first), _values(same[1]))
            option = option_for(f"{first.column.heading}#2", "head_speed_rpm", "rpm")
            out.warnings.append(
                f"{len(same)} columns are called {first.column.heading} and differ (by a factor of {factor:.3g}): "
                f'none is used; say which, for example --column "{option}"'
            )
    return keep


def _cells_joined(claims: list[Claim], gearing: Gearing, out: Channels) -> list[Claim]:
    """Turn one column for each cell into the weakest cell, and into the pack when all its cells are there."""
    cells = [claim for claim in claims if claim.meaning == "cell_voltage_v" and not claim.by_person]
    if len(cells) < 2:
        return claims
    table = np.vstack([_values(claim) * (claim.heading.unit.factor if claim.heading.unit else 1.0) for claim in cells])
    out.found["lowest_cell_v"] = Found(heading=f"least of {len(cells)} cells", values=np.fmin.reduce(table), rank=2)
    out.history.append(f"weakest cell: the least of {len(cells)} cell columns, row by row")
    if gearing.cells == len(cells):
        out.found["pack_voltage_v"] = Found(heading=f"sum of {len(cells)} cells", values=table.sum(axis=0), rank=0)
        out.history.append(f"pack voltage: the sum of {len(cells)} cell columns")
    return [claim for claim in claims if claim not in cells]


def _drive_rpm(out: Channels, gearing: Gearing) -> Series | None:
    if gearing.kv_rpm_v is None or "duty" not in out.found or "pack_voltage_v" not in out.found:
        return None
    return out.found["duty"].values * out.found["pack_voltage_v"].values * gearing.kv_rpm_v


def _say_unused(table: RawTable, claims: tuple[Claim, ...], used: frozenset[int], out: Channels) -> None:
    known = {claim.at for claim in claims} | used
    for at, column in enumerate(table.columns):
        if at not in known and column.heading.strip():
            kind = "text, kept out" if column.number is None else "meaning not known, kept out"
            out.history.append(f"{column.heading}: {kind}")


def _why_not(claim: Claim) -> str:
    if claim.meaning == "duty":
        return f'what it is at full duty is not said: --column "{option_for(claim.heading.text, "duty", "0..255")}"'
    words = claim.heading.words
    cells = claim.meaning.endswith("_v") and words & {"voltage", "cell", "lowest"}
    return "the number of cells is not known" if cells else "its unit or range is not understood"


def _empty_speed(claim: Claim) -> str:
    return "head_speed_rpm" if claim.meaning in ("head_speed_rpm", "some_speed_rpm") else "motor_side_speed_rpm"


def _values(claim: Claim) -> Series:
    return claim.column.number if claim.column.number is not None else np.empty(0)


def _alike(one: Series, other: Series) -> bool:
    both = np.isfinite(one) & np.isfinite(other)
    if not both.any():
        return True
    size = float(np.median(np.abs(one[both]))) or 1.0
    return bool(np.median(np.abs(one[both] - other[both])) <= _SAME_SHARE * size)


def _factor(one: Series, other: Series) -> float:
    both = np.isfinite(one) & np.isfinite(other) & (np.abs(other) > 0.1 * np.nanmax(np.abs(other), initial=0.0))
    if not both.any():
        return float("nan")
    ratio = float(np.median(np.abs(one[both] / other[both])))
    return max(ratio, 1.0 / ratio) if ratio else float("inf")
