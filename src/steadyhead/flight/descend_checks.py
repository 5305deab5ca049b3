"""The glide held against what the machine can do: collective, stability, and what nobody has said yet."""

from collections.abc import Sequence

from steadyhead.flight.descend_result import GlidePoint, HeadSpeedDescent
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Limit, Outcome, Verdict

NEED = "a steady autorotation at a head speed looked at"


def checks_of(machine: Machine, told: Sequence[HeadSpeedDescent]) -> tuple[Verdict, ...]:
    """Return the checks of the glide over all head speeds and forward speeds looked at."""
    found = [(one, point) for one in told for point in one.points if point.sink_m_s is not None]
    flown = [(one, point) for one in told for point in (one.points[0], _nearest(one)) if point.sink_m_s is not None]
    if not flown:
        why = "no head speed looked at has a steady autorotation"
        checks = [Verdict(check="glide_found", verdict=Outcome.FAIL, reason=why)]
        checks += [Verdict.unknown(check, why, needs=(NEED,)) for check in ("glide_collective", "glide_stable")]
        return (*checks, _tail(machine))
    says = f"the rotor turns by itself at {len({one.head_speed_rpm for one, _ in found})} of {len(told)} head speeds"
    there = Verdict(check="glide_found", verdict=Outcome.PASS, reason=says)
    return (there, _collective(machine, flown), _stable(found), _tail(machine))


def _nearest(one: HeadSpeedDescent) -> GlidePoint:
    """Return the point nearest the least sink rate; the vertical one where none is known."""
    at = one.least_sink.forward_m_s if one.least_sink else 0.0
    return min(one.points, key=lambda point: abs(point.forward_m_s - at))


def _collective(machine: Machine, found: Sequence[tuple[HeadSpeedDescent, GlidePoint]]) -> Verdict:
    """Return whether the machine's least collective reaches down to the vertical and the slowest-sinking glides."""
    one, point = min(found, key=lambda pair: pair[1].collective_deg or 0.0)
    where = f"collective in the glide at {one.head_speed_rpm:.0f} rpm and {point.forward_m_s:.0f} m/s"
    limit = machine.limit("rotor.collective_min")
    if point.collective_deg_interval is None:
        why = f"{where} is {point.collective_deg:.1f}°, but some machines of the spread have no glide there"
        return Verdict.unknown("glide_collective", why, needs=("a smaller doubt on the machine",))
    return Verdict.at_least(
        "glide_collective", point.collective_deg, limit, what=where, interval=point.collective_deg_interval
    )


def _stable(found: Sequence[tuple[HeadSpeedDescent, GlidePoint]]) -> Verdict:
    """Return whether a disturbance dies out in every glide with the collective held."""
    loose = [(one, point) for one, point in found if not point.stable]
    if loose:
        one, point = loose[0]
        why = (
            f"at {one.head_speed_rpm:.0f} rpm and {point.forward_m_s:.0f} m/s the head speed runs away when the "
            f"collective is held, and so in {len(loose)} of {len(found)} glides: near the stall of the blades"
        )
        return Verdict(check="glide_stable", verdict=Outcome.FAIL, reason=why)
    slowest = max(point.settling_s or 0.0 for _, point in found)
    limit = Limit(value=0.0, unit="1/s", origin="a disturbance must die out")
    return Verdict.at_least("glide_stable", 1.0 / slowest, limit, what="rate at which a disturbance dies out")


def _tail(machine: Machine) -> Verdict:
    """Return whether it is known what the tail does without the motor."""
    driven = machine.tail.driven_in_autorotation
    if driven is None:
        why = "whether the tail is driven in autorotation is not known"
        return Verdict.unknown("glide_tail_known", why, needs=("tail.driven_in_autorotation",))
    says = "the tail turns with the rotor" if driven else "the tail stops with the motor: only the fin holds the nose"
    return Verdict(check="glide_tail_known", verdict=Outcome.PASS, reason=says)
