"""What to measure next: every value that is not known well enough, ranked by how many verdicts it would decide."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from steadyhead.advise.result import MeasureNext
from steadyhead.advise.seen import Seen
from steadyhead.channel.switch_rules import HOW_TO_MEASURE as SWITCHES
from steadyhead.channel.thresholds import HOW_TO_MEASURE
from steadyhead.machine.description import Machine
from steadyhead.plan.doubts import LEAST_SHARE, MEASURES, measure
from steadyhead.plan.figures import AT
from steadyhead.plan.outcomes import Held, held
from steadyhead.plan.result import Doubt
from steadyhead.plan.solved import Solved
from steadyhead.words.verdict import Outcome

HALVED = 0.75
"""Part of a value's variance that goes when its spread is halved: 1 - 1/4."""
MOST_RANKED = 20
BLADES_OFF = "on the bench, blades off and the machine held down: "
READINGS, LOG = "readings", "log: "
HOW = {
    READINGS: "take readings on the bench, blades off: channel percent and head speed, two and a third to test",
    "channel.cut_off": HOW_TO_MEASURE["cut_off"],
    "channel.start": HOW_TO_MEASURE["start"],
    "channel.learned_low": "read what the controller learned in the throttle calibration, or calibrate it anew",
    "channel.learned_high": "read what the controller learned in the throttle calibration, or calibrate it anew",
    "gears.module": "ask the maker of the gear for its module",
    "gears.face_width": "measure the width of the teeth",
    "channel.ramp_rate": "blades off, log the channel while a switch moves it: it tells how fast it moves",
    "channel.autorotation": "read the channel value at the autorotation position on the transmitter",
    "governor.gain": "log a flight with climb-outs and let the learn command fit the gains from it",
    "governor.integral_time": "log a flight with climb-outs and let the learn command fit the gains from it",
    "governor.quick_spool": "read it off the controller's settings, or time a quick restart on the bench, blades off",
    "governor.soft_spool": "read it off the controller's settings, or time a soft start on the bench, blades off",
    "gears.one_way_play": "blades off, pack out: turn the head backwards until the one-way bearing takes hold, and "
    "measure the angle",
    "gears.train_stiffness": "ask the maker of the gear train, or measure its twist under a known torque, pack out",
}
"""How to know what no doubt of the plan names; common practice, no source."""


@dataclass
class _Known:
    """What knowing one value would do."""

    alone: list[str] = field(default_factory=list)
    shared: list[str] = field(default_factory=list)
    share: float = 0.0
    of_figure: str = ""

    @property
    def order(self) -> tuple[float, ...]:
        """How it ranks, less is better."""
        return -len(set(self.alone)), -len(set(self.shared)), -self.share


def measure_next(
    machine: Machine, every: Sequence[Seen], solved: Solved | None, doubts: Sequence[Doubt]
) -> tuple[MeasureNext, ...]:
    """Return the values to measure, best first: by verdicts decided, then verdicts it has a part in, then share.

    `doubts` are shares of other figures, the glide's and the flare's.
    """
    known: dict[str, _Known] = {}
    stated = {key for key, _ in machine.values()} | set(machine.missing())
    for one in every:
        if one.check.verdict is Outcome.UNKNOWN:
            keys = [key for need in one.check.needs if (key := _key(need, stated, one.part))]
            for key in keys:
                row = known.setdefault(key, _Known())
                (row.alone if len(keys) == len(one.check.needs) == 1 else row.shared).append(_name(one))
    if solved is not None:
        _halved(solved, known)
    for doubt in (one for one in doubts if one.key in stated):
        row = known.setdefault(doubt.key, _Known())
        if doubt.share > row.share and not row.of_figure:
            row.share, row.of_figure = doubt.share, doubt.figure
    worth = {key: row for key, row in known.items() if row.alone or row.shared or row.share}
    order = sorted(worth.items(), key=lambda pair: (*pair[1].order, pair[0]))
    return tuple(_told(machine, rank, key, row) for rank, (key, row) in enumerate(order[:MOST_RANKED], start=1))


def _halved(solved: Solved, known: dict[str, _Known]) -> None:
    """Add what half the spread of each input would decide, and its share of the doubtful figure nearest to its limit.

    The doubt shrinks by sqrt(1 - 0.75 share) on both sides.
    Valid: inputs independent, effects near a straight line, as in `plan.intervals`.
    Source: first-order propagation of uncertainty, JCGM 100:2008, 5.1.2.
    """
    central, low, high = solved.central.figures, solved.figures.low, solved.figures.high
    doubtful: list[tuple[float, str, Mapping[str, float]]] = []
    for check in held(solved.limits, central, low, high):
        for mode, row in enumerate(solved.machine.flight_mode):
            if not check.doubts[mode].any() or check.fails[mode].any():
                continue
            name = f"plan, {row.name}: {check.what}"
            for key, excess, shares in _deciders(solved, check, mode):
                if key:
                    known.setdefault(key, _Known()).alone.append(name)
                else:
                    doubtful.append((excess, name, shares))
    for _, name, shares in sorted(doubtful, key=lambda one: -one[0]):
        for key, share in shares.items():
            found = known.setdefault(key, _Known())
            if share >= LEAST_SHARE and not found.of_figure:
                found.share, found.of_figure = share, name


def _deciders(solved: Solved, check: Held, mode: int) -> Iterator[tuple[str, float, Mapping[str, float]]]:
    """Yield the keys whose halved spread lets every doubtful condition of a mode keep the limit; first an empty key
    with the excess of the worst condition and the shares of its doubt."""
    at = AT[check.figure_name]
    sign = -1.0 if check.at_least else 1.0
    left: set[str] | None = None
    worst: tuple[float, Mapping[str, float]] = (-math.inf, {})
    for load in range(check.doubts.shape[1]):
        limit = check.limits[load]
        for state in range(check.doubts.shape[2]):
            if not bool(check.doubts[mode, load, state]):
                continue
            if limit is None:
                left = set()
                continue
            place = (mode, load, state, at)
            shares = solved.figures.shares(place)
            figure = float(solved.central.figures[place])
            reach = max(sign * (float(end[place]) - figure) for end in (solved.figures.low, solved.figures.high))
            room = sign * (limit.value - figure)
            keep = {key for key, share in shares.items() if reach * math.sqrt(1.0 - HALVED * share) <= room}
            left = keep if left is None else left & keep
            excess = float(check.excess[mode, load, state])
            worst = max(worst, (excess, shares), key=lambda pair: pair[0])
    yield "", *worst
    for key in sorted(left or ()):
        yield key, 0.0, {}


def _key(need: str, stated: set[str], part: str) -> str:
    if need in stated or need in (READINGS, "flight_mode"):
        return need
    if part.startswith(LOG) and need.replace("_", "").isalnum():
        return f"{LOG}{need}"
    return ""


def _name(one: Seen) -> str:
    place = f", {one.place}" if one.place else ""
    return f"{one.part}{place}: {one.check.check.replace('_', ' ')}"


def _told(machine: Machine, rank: int, key: str, row: _Known) -> MeasureNext:
    value = machine.value(key) if "." in key else None
    alone = tuple(dict.fromkeys(row.alone))
    shared = tuple(name for name in dict.fromkeys(row.shared) if name not in alone)
    return MeasureNext(
        rank=rank,
        key=key,
        origin=str(value.origin) if value else "unknown",
        decides=len(alone),
        has_part_in=len(shared),
        verdicts=(*alone, *shared),
        share=row.share,
        of_figure=row.of_figure,
        how=_how(key),
    )


def _how(key: str) -> str:
    if key in HOW or key in MEASURES:
        return HOW.get(key) or measure(key)
    if key in SWITCHES:
        turns = key.startswith("run_logic.") and "the manual" not in SWITCHES[key]
        return f"{BLADES_OFF if turns else ''}{SWITCHES[key]}"
    if key.startswith(LOG):
        return f"log {key.removeprefix(LOG).replace('_', ' ')} as well"
    table, _, name = key.rpartition(".")
    if table == "limits" or name.endswith(("_max", "_min", "_continuous", "_burst")):
        return f"look it up in the maker's manual and write {key} into the machine file"
    return measure(key)
