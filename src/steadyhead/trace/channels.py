"""From claims to channels: one column for each channel, and never a choice in silence."""

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from steadyhead.trace.cell_columns import LEAST_OF, Joined, cells_joined, packs_joined
from steadyhead.trace.cells_left import cells_left
from steadyhead.trace.converting import converted
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.headings import heading_of
from steadyhead.trace.impossible import level_of
from steadyhead.trace.left_out import (
    HIDES_PEAKS,
    OF_NOBODY,
    SPEEDS,
    said_of_left_out,
    said_of_missing,
    said_of_words,
    temperatures_of_nobody,
)
from steadyhead.trace.meaning import Claim
from steadyhead.trace.offered import Converted
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.rivals import Found, Offer, choice_of
from steadyhead.trace.scales import settled
from steadyhead.trace.signs import discharge_forward
from steadyhead.trace.speed_columns import distinct_speeds, speeds_offered
from steadyhead.trace.table import RawTable
from steadyhead.trace.trace import ColumnRead, Series
from steadyhead.trace.why_not import misfit_voltage_v, why_not


@dataclass(kw_only=True)
class Channels:
    """All channels of a table, with what was done and what is doubtful."""

    found: dict[str, Found] = field(default_factory=dict)
    offers: dict[str, list[Offer]] = field(default_factory=lambda: defaultdict(list))
    warnings: list[str] = field(default_factory=list)
    history: list[str] = field(default_factory=list)
    misfit_voltage_v: float | None = None
    """Level of a pack voltage that was left out, since it fits no pack of the file's cells."""
    left: list[tuple[str, str]] = field(default_factory=list)
    """Channel and heading of columns that were left out, though they may be what is judged."""
    unseen: list[str] = field(default_factory=list)
    """Headings of cells that are not all the cells of the pack."""

    @property
    def unread(self) -> tuple[ColumnRead, ...]:
        """Columns that may hold a channel which nothing else gives, or gives in part only."""
        left = [(name, heading) for name, heading in self.left if name not in self.found]
        given = self.found.get("lowest_cell_v")
        if given is not None and given.heading.startswith(LEAST_OF):
            left.extend(("lowest_cell_v", heading) for heading in self.unseen)
        return tuple(ColumnRead(channel=name, heading=heading, confidence="left out") for name, heading in left)

    @property
    def columns(self) -> tuple[ColumnRead, ...]:
        """What each channel was read from."""
        return tuple(
            ColumnRead(channel=name, heading=found.heading, confidence=found.confidence, divided_by=found.divided_by)
            for name, found in self.found.items()
        )


def channels_of(
    source: str, table: RawTable, claims: tuple[Claim, ...], gearing: Gearing, used: frozenset[int]
) -> Channels:
    """Return the channels that the claims make.

    Raises: UnsureColumns when two columns of different names could be the head speed, or a speed is unclear.
    """
    out = Channels()
    of_channels = [claim for claim in claims if claim.meaning not in ("time", "ignore")]
    wanted = [claim for claim in of_channels if claim.at not in used and claim.column.number is not None]
    plain = [claim for claim in wanted if claim.by_person or not claim.not_plain]
    rest = _taken(out, cells_joined(table, [c for c in plain if c.meaning not in SPEEDS], gearing, used))
    rest = _taken(out, packs_joined(table, rest, gearing))
    for claim in rest:
        _convert(out, claim, gearing, table.remarks)
    for channel in list(out.offers):
        _settle(source, out, channel)
    _turn_discharge(out)
    speeds, warnings = distinct_speeds([claim for claim in plain if claim.meaning in SPEEDS])
    out.warnings.extend(warnings)
    offers, warnings = speeds_offered(source, speeds, gearing, _drive_rpm(out, gearing))
    out.warnings.extend(warnings)
    for claim, made in offers:
        _offer(out, claim, made)
    for channel in dict.fromkeys(made.channel for _, made in offers):
        _settle(source, out, channel)
    warnings, history = said_of_left_out([claim for claim in wanted if claim not in plain], out.found)
    out.warnings.extend(warnings)
    out.history.extend(history)
    for claim in wanted:
        if claim not in plain and (claim.heading.words & HIDES_PEAKS or _in_an_odd_unit(claim)):
            _leave(out, claim)
    warnings, of_nobody = temperatures_of_nobody(table, claims, out.found)
    out.warnings.extend(warnings)
    of = OF_NOBODY if len(of_nobody) > 1 else OF_NOBODY[:1]
    out.left.extend((channel, heading) for channel in of for heading in of_nobody)
    out.left.extend(("lowest_cell_v", heading) for heading in cells_left(table, claims, out.found, gearing, used))
    out.warnings.extend(said_of_words(of_channels, out.found))
    out.warnings.extend(said_of_missing(out.found, _unused(table, claims, used, out)))
    return out


def _taken(out: Channels, joined: Joined) -> list[Claim]:
    for channel, offer in joined.offers.items():
        out.offers[channel].append(offer)
    out.warnings.extend(joined.warnings)
    out.history.extend(joined.history)
    out.unseen.extend(joined.unseen)
    return joined.claims


def _convert(out: Channels, claim: Claim, gearing: Gearing, remarks: tuple[str, ...]) -> None:
    sure = settled(claim, gearing)
    made = converted(sure, gearing, remarks) if sure is not None else None
    if sure is not None and made is not None:
        _offer(out, sure, made)
    else:
        out.warnings.append(f"{claim.heading.text}: left out, {why_not(claim, gearing)}")
        out.misfit_voltage_v = out.misfit_voltage_v or misfit_voltage_v(claim, gearing)
        _leave(out, claim)


def _leave(out: Channels, claim: Claim) -> None:
    """Note a temperature that was left out, though it may be what is judged."""
    if claim.meaning.endswith("_temperature_c"):
        out.left.append((claim.meaning, claim.column.heading))


def _in_an_odd_unit(claim: Claim) -> bool:
    unit = claim.heading.unit
    return bool(claim.heading.unread) or (unit is not None and unit.dimension != "temperature")


def _turn_discharge(out: Channels) -> None:
    if "pack_current_a" not in out.found:
        return
    current, said = discharge_forward(out.found)
    if said:
        out.warnings.append(said)
    if current is None:
        del out.found["pack_current_a"]
    else:
        out.found["pack_current_a"] = current


def _offer(out: Channels, claim: Claim, made: Converted) -> None:
    found = Found(
        heading=claim.column.heading,
        values=made.values,
        rank=claim.rank,
        doubtful=bool(made.warnings),
        divided_by=made.divided_by,
    )
    out.offers[made.channel].append(Offer(found=found, said=made.said, warnings=made.warnings))


def _settle(source: str, out: Channels, channel: str) -> None:
    """Give a channel its column, now that all that may give it are known."""
    choice = choice_of(source, channel, out.offers[channel])
    out.history.extend(choice.history)
    out.warnings.extend(choice.warnings)
    if choice.found is not None:
        out.found[channel] = choice.found
    elif channel.endswith("_temperature_c"):
        bare = not any(offer.found.rank for offer in out.offers[channel])
        of = OF_NOBODY if bare else (channel,)
        out.left.extend((name, offer.found.heading) for name in of for offer in out.offers[channel])


def _drive_rpm(out: Channels, gearing: Gearing) -> Series | None:
    if gearing.kv_rpm_v is None or "duty" not in out.found or "pack_voltage_v" not in out.found:
        return None
    return out.found["duty"].values * out.found["pack_voltage_v"].values * gearing.kv_rpm_v


def _unused(table: RawTable, claims: tuple[Claim, ...], used: frozenset[int], out: Channels) -> dict[str, float]:
    """Note the columns without a meaning in the history; return how high those go that hold moving numbers."""
    known = {claim.at for claim in claims if claim.meaning != "time" or "time" in claim.heading.words} | used
    unknown: dict[str, float] = {}
    for at, column in enumerate(table.columns):
        if at in known or not column.heading.strip() or heading_of(column.heading).words == {"date"}:
            continue
        out.history.append(f"{column.heading}: {'text' if column.number is None else 'meaning not known'}, kept out")
        if column.number is not None and _moves(sample_of(column.number)):
            unknown[column.heading] = level_of(np.abs(column.number))
    return unknown


def _moves(some: Series) -> bool:
    return some.size > 0 and float(np.ptp(some)) > 0.0
