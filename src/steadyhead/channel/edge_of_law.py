"""The position read at the edge of what a law reaches: beyond it no head speed is known, or none can be asked for."""

from steadyhead.channel.fitted_law import FittedLaw, Kind, head_speed_rpm


def edge_percent(law: FittedLaw, rpm: float) -> float | None:
    """Position that was read where a law ends on the side of a head speed, percent; None where the law goes on.

    piecewise: the outer reading · ceiling, floor: the reading on the flat that lies nearest to the knee
    Valid: a known law that does not reach the head speed.
    """
    low, high = law.span_percent
    if law.curve is not None:
        return high if rpm > head_speed_rpm(law, high) else low
    if law.line is None or law.flat is None:
        return None
    knee, read = law.line.percent(law.flat.level_rpm), law.positions.percent
    on_flat = read[read >= knee] if law.kind is Kind.CEILING else read[read <= knee]
    is_beyond = rpm > law.flat.level_rpm if law.kind is Kind.CEILING else rpm < law.flat.level_rpm
    if not is_beyond or on_flat.size == 0:
        return None
    return float(on_flat[0] if law.kind is Kind.CEILING else on_flat[-1])
