"""Joins the judgements of the runs, or pieces, of one log into one."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from steadyhead.judge.advice import ONE_AT_A_TIME
from steadyhead.judge.cell_count import CELLS_NEEDED, MISCOUNTED
from steadyhead.judge.charge_left import CHECK, Use, charge_left_of_packs, pack_changed
from steadyhead.judge.one_way import one_way, unless_the_loop_swings, unless_the_pack_sags
from steadyhead.judge.other_machine import NEED
from steadyhead.judge.owner import Owner
from steadyhead.judge.pack_swap import has_fallen, highest_at_rest_v
from steadyhead.judge.result import FlightFigures, HeadRoom, Judgement
from steadyhead.judge.segments import DRIVEN
from steadyhead.judge.session import outcome_of
from steadyhead.judge.signals import written_step
from steadyhead.judge.trends import trends
from steadyhead.judge.worst_figure import shown_of
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict, worst

SAME_SPEED_SHARE = 0.01


def joined(parts: Sequence[Judgement], numbers: Owner) -> Judgement:
    """Return one judgement of the parts of a log, each judged by itself; times are those of the whole log.

    A part in which the motor never drove leaves nothing in doubt beside one in which it did. What was left in a pack
    is judged over all flights on it, whatever part they lie in.

    Valid: one part or more.
    """
    if len(parts) == 1:
        return parts[0]
    first = parts[0]
    driven = [part for part in parts if _drove(part)] or list(parts)
    flights, uses = _flights(driven, numbers)
    checks = _checks(parts, driven)
    if uses and not any(NEED in check.needs for part in driven for check in part.checks):
        charge = charge_left_of_packs(uses, numbers)
        checks = tuple(charge if check.check == CHECK else check for check in checks)
    highest = max(parts, key=lambda part: part.pack_resistance_mohm or 0.0)
    return replace(
        first,
        rows_read=sum(part.rows_read for part in parts),
        warnings=tuple(dict.fromkeys(word for part in parts for word in part.warnings)),
        history=tuple(dict.fromkeys(step for part in parts for step in part.history)),
        segments=tuple(segment for part in parts for segment in part.segments),
        steady=tuple(window for part in parts for window in part.steady),
        events=tuple(event for part in parts for event in part.events),
        bail_outs=tuple(bail_out for part in parts for bail_out in part.bail_outs),
        checks=checks,
        advice=_advice(parts),
        verdict=worst(check.verdict for check in checks),
        unknowns=tuple(dict.fromkeys((*(need for check in checks for need in check.needs), *_typical(parts)))),
        pack_resistance_mohm=highest.pack_resistance_mohm,
        pack_resistance_mohm_interval=highest.pack_resistance_mohm_interval,
        energy_wh=_sum(part.energy_wh for part in parts),
        charge_used_mah=_sum(part.charge_used_mah for part in parts),
        head_room=_least_rooms([room for part in parts for room in part.head_room]),
        flights=flights,
        trends=trends(flights),
        trace=_trace([part.trace for part in parts]),
    )


def _drove(part: Judgement) -> bool:
    return any(segment.kind in DRIVEN for segment in part.segments)


def _checks(parts: Sequence[Judgement], driven: Sequence[Judgement]) -> tuple[Verdict, ...]:
    known = {id(part) for part in driven}
    told = [
        check for part in parts for check in part.checks if id(part) in known or check.verdict is not Outcome.UNKNOWN
    ]
    names = dict.fromkeys(check.check for part in driven for check in part.checks)
    return tuple(_together(name, [check for check in told if check.check == name]) for name in names)


def _together(name: str, own: Sequence[Verdict]) -> Verdict:
    return shown_of(own, outcome_of(name, own), "in another run")


def _flights(parts: Sequence[Judgement], numbers: Owner) -> tuple[tuple[FlightFigures, ...], tuple[Use, ...]]:
    """Return the flights of all parts, numbered through, and what each took from its pack."""
    flights: list[FlightFigures] = []
    uses: list[Use] = []
    before: Judgement | None = None
    for part in parts:
        flown = [flight for flight in part.flights if flight.driven_s > 0.0] or part.flights
        own = (check for check in part.checks if check.check == CHECK and check.needs == CELLS_NEEDED)
        misfit = next((check.reason.removesuffix(MISCOUNTED) for check in own), "")
        for flight in flown:
            fresh = flight.pack_changed
            if before is not None and uses and flight is flown[0]:
                fresh = _other_pack(before, uses[-1], flight.rest_voltage_v, numbers)
            last = flight is flown[-1] and part.segments[-1].kind in DRIVEN and bool(part.columns)
            flights.append(replace(flight, number=len(flights) + 1, pack_changed=fresh))
            uses.append(
                Use(
                    number=len(flights),
                    used_mah=flight.charge_used_mah,
                    rest_v=flight.rest_voltage_v,
                    fresh=fresh,
                    by_current_mah=flight.charge_by_current_mah,
                    broken_off=last,
                    misfit=misfit,
                )
            )
        before = part
    return tuple(flights), tuple(uses)


def _other_pack(before: Judgement, use: Use, now_rest_v: float | None, numbers: Owner) -> bool | None:
    """Whether the pack of a part is another than that of the part before it; None where nothing tells."""
    changed = pack_changed(use, now_rest_v, numbers)
    driven_until_s = max((segment.end_s for segment in before.segments if segment.kind in DRIVEN), default=-np.inf)
    left_v = highest_at_rest_v(before.trace, driven_until_s)
    if changed or now_rest_v is None or left_v is None:
        return changed
    fallen = has_fallen(left_v, now_rest_v, written_step(before.trace.channels["pack_voltage_v"]))
    return fallen if fallen is not False else changed


def _typical(parts: Sequence[Judgement]) -> list[str]:
    """Return what is unknown for the machine file, whatever the checks say."""
    needs = {need for part in parts for check in part.checks for need in check.needs}
    return [word for part in parts for word in part.unknowns if word not in needs]


def _advice(parts: Sequence[Judgement]) -> tuple[str, ...]:
    swings = any(c.check == "no_hunting" and c.verdict is Outcome.FAIL for part in parts for c in part.checks)
    told = (line for part in parts for line in part.advice if line != ONE_AT_A_TIME)
    checks = [check for part in parts for check in part.checks]
    calm = (unless_the_loop_swings(line, swings=swings) for line in told)
    every = dict.fromkeys(unless_the_pack_sags(line, checks) for line in calm)
    lines = tuple(dict.fromkeys(one_way(list(every))))
    return (*lines, ONE_AT_A_TIME) if any(ONE_AT_A_TIME in part.advice for part in parts) else lines


def _least_rooms(rooms: list[HeadRoom]) -> tuple[HeadRoom, ...]:
    kept: list[HeadRoom] = []
    for room in sorted(rooms, key=lambda one: one.head_room):
        same = next((k for k, one in enumerate(kept) if _alike(one, room)), None)
        if same is None:
            kept.append(room)
        else:
            kept[same] = replace(kept[same], count=kept[same].count + room.count)
    return tuple(sorted(kept, key=lambda room: (room.condition, room.set_rpm)))


def _alike(one: HeadRoom, other: HeadRoom) -> bool:
    return one.condition == other.condition and abs(one.set_rpm - other.set_rpm) <= SAME_SPEED_SHARE * one.set_rpm


def _sum(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None


def _trace(traces: Sequence[Trace]) -> Trace:
    names = [name for name in traces[0].channels if all(name in trace.channels for trace in traces)]
    return replace(
        traces[0],
        time_s=np.concatenate([trace.time_s for trace in traces]),
        channels={name: np.concatenate([trace.channels[name] for trace in traces]) for name in names},
        row=np.concatenate([trace.row for trace in traces]),
        rows_read=sum(trace.rows_read for trace in traces),
    )
