"""Verdicts on the head speed itself, from a recording: what else than the file's machine, at rest, would sound so."""

from dataclasses import dataclass, replace

from steadyhead.judge.result import Judgement
from steadyhead.judge.unheard_speed import Unheard
from steadyhead.machine.description import Machine
from steadyhead.trace.heard import CLOCK_SHARE
from steadyhead.words.verdict import Outcome, Verdict

REST_ON_SPEED = ("tip_speed", "head_speed_limit")
"""Checks on the head speed itself: the others hold it against itself, and keep their percent at another gear ratio."""
SOUND_M_S = 331.0
"""Speed of sound at 0 °C, where a movement shifts most; ISO 2533, 20.05 times the root of kelvin."""
IN_PLACE = "--in-place, where it stood or hovered in one place while it was recorded"
OF_HEAD = "a reading of the head itself"
ALL_THROUGH = "a recording in which the rotor is heard all through, or a log of the head speed"
OTHER_GEARS = "only motor and gears were heard: other gears than the machine file's would sound alike"
PART = "half or a third of a speed that was heard would sound alike on this machine"
SWUNG = (
    "a machine that flies sounds faster and slower by itself, 1 m/s by 0.3 %, so its sound does not show how evenly "
    "the head turned"
)
TWICE = "twice a speed that was heard may be the true one"


@dataclass(frozen=True, kw_only=True)
class SpeedDoubt:
    """What a microphone leaves open of the head speed.

    `moves_m_s` is how fast the machine may have come or gone; `head_heard` whether blades were heard,
    which alone turn with the head; `twice_open` whether twice as much may be true, `part_open` whether a
    part may; `highest_rpm` is the highest speed that was heard, also where nothing is judged; `holes` is where a
    running head was not heard.
    """

    frame_share: float
    moves_m_s: float = 0.0
    head_heard: bool = True
    twice_open: bool = False
    part_open: bool = False
    highest_rpm: float | None = None
    holes: tuple[Unheard, ...] = ()


def moves_m_s(machine: Machine, *, blades_heard: bool, in_place: bool) -> float:
    """Return how fast a machine may have come or gone while it was recorded, m/s.

    Valid: without blades it cannot fly; said to be in place it does not.
    Source: `limits.forward_speed` of the machine file, 25 m/s where it is left out.
    """
    fast = machine.value("limits.forward_speed")
    return fast.si if fast is not None and blades_heard and not in_place else 0.0


def moves_share(moves_m_s: float) -> float:
    """Return by how much such a movement shifts every line, a share.

    Equation: v / c, v along the line of sight
    Source: Doppler shift, any acoustics textbook.
    """
    return moves_m_s / SOUND_M_S


def speed_interval(interval: tuple[float, float], moves_m_s: float) -> tuple[float, float]:
    """Return an interval of a head speed with the shift of a machine that may have come or gone.

    Equation: heard (1 - v / c) to heard / (1 - v / c): whether machine or microphone moves, towards or away
    """
    share = moves_share(moves_m_s)
    return interval[0] * (1.0 - share), interval[1] / (1.0 - share)


def speed_verdict(check: Verdict, judged: Judgement, doubt: SpeedDoubt) -> Verdict:
    """Return a check on the head speed itself as far as a microphone bears it out; other checks as they are."""
    if check.check == "no_hunting" and check.verdict is Outcome.PASS and doubt.moves_m_s:
        return check.but(SWUNG, needs=(*check.needs, IN_PLACE))
    if check.check not in REST_ON_SPEED:
        return check
    check = _moved(check, doubt)
    if check.verdict is Outcome.FAIL and doubt.part_open:
        return check.but(PART, needs=(*check.needs, OF_HEAD))
    if check.verdict is not Outcome.PASS:
        return check
    why, needs = _doubted(check, judged, doubt)
    if not why:
        return check
    return replace(
        check, verdict=Outcome.UNKNOWN, reason=f"{check.reason}; but {'; and '.join(why)}", needs=(*check.needs, *needs)
    )


def _doubted(check: Verdict, judged: Judgement, doubt: SpeedDoubt) -> tuple[list[str], list[str]]:
    why, needs = [], []
    if not doubt.head_heard:
        why.append(OTHER_GEARS)
        needs.append(OF_HEAD)
    if doubt.twice_open:
        why.append(TWICE)
        needs.append(OF_HEAD)
    peak = _peak_over(check, judged, doubt)
    if peak:
        why.append(peak)
    hole = max(doubt.holes, key=lambda one: one.reach_rpm, default=None)
    if hole is not None and _over(check, judged, hole.reach_rpm) is not None:
        why.append(hole.said)
        needs.append(ALL_THROUGH)
    return why, list(dict.fromkeys(needs))


def _moved(check: Verdict, doubt: SpeedDoubt) -> Verdict:
    """Return a check with the shift by the machine's movement in its interval; unknown where that decides."""
    ends = check.figure_interval
    if not doubt.moves_m_s or ends is None or check.limit is None:
        return check
    low, high = wide = speed_interval(ends, doubt.moves_m_s)
    moved = check.doubted(wide)
    open_ = {Outcome.PASS: high > check.limit, Outcome.FAIL: low <= check.limit}.get(check.verdict, False)
    if not open_:
        return moved
    shift_percent = 100.0 * moves_share(doubt.moves_m_s)
    why = (
        f"{check.reason}; but a machine that flies towards or from the microphone sounds fast or slow, at "
        f"{doubt.moves_m_s:g} m/s (limits.forward_speed) by {shift_percent:.0f} %: it may be {low:.4g} to {high:.4g}"
    )
    return replace(moved, verdict=Outcome.UNKNOWN, reason=why, needs=(*check.needs, IN_PLACE))


def _peak_over(check: Verdict, judged: Judgement, doubt: SpeedDoubt) -> str:
    """Return in words that the highest speed heard is over a limit that the judge held another speed against."""
    peak = _over(check, judged, doubt.highest_rpm) if doubt.highest_rpm else None
    return (
        ""
        if peak is None
        else f"at the highest speed heard, {doubt.highest_rpm:.0f} rpm, it is {peak:.4g} {check.unit}"
    )


def _over(check: Verdict, judged: Judgement, rpm: float) -> float | None:
    """Return the figure of a check at a head speed, in its unit; None where that keeps the limit."""
    sets = [segment.set_rpm for segment in judged.segments if segment.set_rpm is not None]
    of_tip = check.check == "tip_speed"
    if check.figure is None or check.limit is None or (of_tip and not sets):
        return None
    figure = check.figure * rpm / max(sets) if of_tip else rpm
    return figure if figure * (1.0 + CLOCK_SHARE) > check.limit else None
