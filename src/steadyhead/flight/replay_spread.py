"""How far the doubts of the machine file may carry a replay from its log: the same log flown by drawn machines."""

from collections.abc import Sequence
from dataclasses import replace

from steadyhead.flight.governor_spread import DRAWS, drawn
from steadyhead.flight.replay import Learned, replayed
from steadyhead.flight.residuals import Residual, residuals
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import SolveError
from steadyhead.words.progress import Say, silent

BARE_HEAD = ("rotor.hub_inertia",)
"""What a log without blades rests on besides all that a flight rests on."""
SENSOR_SHARE = 0.01
"""How far a logged mean may be off by its sensor: common practice, no source."""
Key = tuple[str, float, str]


def with_doubt(
    found: Sequence[Residual], machine: Machine, log: Trace, learned: Learned, *, say: Say = silent
) -> tuple[Residual, ...]:
    """Return the residuals with the interval that their means take over the spread of the machine file.

    The same inputs are flown by 19 drawn machines; lowest and highest of these and of the one described enclose nine
    tenths. A figure that some of them do not have, because their flight broke off, gets no interval.
    """
    stretches = list(dict.fromkeys((one.segment, one.start_s, one.end_s) for one in found))
    means: dict[Key, list[float]] = {_key(one): [one.mean] for one in found}
    flown = 0
    for number, other in enumerate(drawn(machine, BARE_HEAD), start=1):
        say(f"doubt {number} of {DRAWS}")
        try:
            flight = replayed(other, log, learned)
        except SolveError:
            continue
        flown += 1
        for one in residuals(flight.trace, log, stretches):
            means.setdefault(_key(one), []).append(one.mean)
    return tuple(_with_interval(one, means[_key(one)], flown) for one in found)


def _with_interval(one: Residual, means: list[float], flown: int) -> Residual:
    if flown == 0 or len(means) != flown + 1:
        return one
    low, high, sensor = min(means), max(means), SENSOR_SHARE * abs(one.log_mean)
    return replace(one, mean_interval=(low, high), within_doubt=low <= sensor and high >= -sensor)


def _key(one: Residual) -> Key:
    return one.segment, one.start_s, one.figure
