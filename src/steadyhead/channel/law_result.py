"""The fitted law as a result."""

from steadyhead.channel.fitted_law import FittedLaw, Kind, knots, reach_rpm
from steadyhead.channel.line_fit import Line, zero_interval_percent
from steadyhead.channel.result import Interval, Law


def law_result(law: FittedLaw, lowest_percent: float) -> Law:
    """Return the law with slope, offset, flat and reach, each None where this kind of law has none."""
    line, flat = law.line, law.flat.level_rpm if law.flat else None
    offset = law.rival or line
    return Law(
        kind=law.kind.value,
        chosen_because=law.because,
        slope_rpm_per_percent=line.slope_rpm_per_percent if line else None,
        slope_rpm_per_percent_interval=slope_interval(law),
        zero_percent=_zero_percent(line),
        zero_percent_interval=zero_interval_percent(offset, law.factor) if offset else None,
        floor_rpm=flat if law.kind is Kind.FLOOR else None,
        ceiling_rpm=flat if law.kind is Kind.CEILING else None,
        residual_rpm=law.residual_rpm,
        knots=knots(law, lowest_percent),
        reach_rpm=reach_rpm(law, lowest_percent),
    )


def _zero_percent(line: Line | None) -> float | None:
    """Position at which the line reaches zero head speed, percent."""
    return line.percent(0.0) if line and line.slope_rpm_per_percent > 0.0 else None


def slope_interval(law: FittedLaw) -> Interval | None:
    """90 % interval of the slope, rpm per percent; a proportional law's is joined with that of its rival."""
    lines = [line for line in (law.line, law.rival) if line is not None]
    if not lines:
        return None
    halves = [law.factor * line.slope_variance**0.5 for line in lines]
    slopes = [line.slope_rpm_per_percent for line in lines]
    return (
        min(slope - half for slope, half in zip(slopes, halves, strict=True)),
        max(slope + half for slope, half in zip(slopes, halves, strict=True)),
    )
