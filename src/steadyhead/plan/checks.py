"""Each figure of a condition held against its limit; a limit that nobody gave is unknown, never pass."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from steadyhead.plan.loads import HOVER, LONG
from steadyhead.words.verdict import Limit, Outcome, Verdict

Interval = tuple[float, float]
FindLimit = Callable[[str], Limit | None]


@dataclass(frozen=True, kw_only=True)
class Check:
    """One figure, its limit's key in the machine file, and the words for it; `burst_key` holds for short loads."""

    check: str
    figure: str
    what: str
    unit: str
    limit_key: str
    burst_key: str = ""
    at_least: bool = False

    def key_for(self, is_long: bool) -> str:
        """Return the key of the limit that holds for loads flown for minutes, or for short ones."""
        return self.limit_key if is_long or not self.burst_key else self.burst_key


CHECKS = (
    Check(check="duty_margin", figure="duty", what="duty", unit="", limit_key="limits.duty_max"),
    Check(
        check="motor_current", figure="motor_current_a", what="motor current", unit="A", limit_key="motor.current_max"
    ),
    Check(
        check="controller_current",
        figure="motor_current_a",
        what="current through the controller",
        unit="A",
        limit_key="controller.current_continuous",
        burst_key="controller.current_burst",
    ),
    Check(
        check="pack_current",
        figure="pack_current_a",
        what="pack current",
        unit="A",
        limit_key="pack.current_continuous",
        burst_key="pack.current_burst",
    ),
    Check(
        check="cell_voltage",
        figure="cell_voltage_v",
        what="cell voltage under load",
        unit="V",
        limit_key="pack.cell_voltage_min",
        at_least=True,
    ),
    Check(
        check="winding_temperature",
        figure="winding_temperature_c",
        what="winding temperature",
        unit="°C",
        limit_key="motor.winding_temperature_max",
    ),
    Check(
        check="controller_temperature",
        figure="controller_temperature_c",
        what="controller temperature",
        unit="°C",
        limit_key="controller.temperature_max",
    ),
    Check(check="tip_speed", figure="tip_speed_m_s", what="tip speed", unit="m/s", limit_key="limits.tip_speed_max"),
    Check(check="tip_mach", figure="tip_mach", what="tip Mach number", unit="", limit_key="limits.tip_mach_max"),
    Check(
        check="head_speed_limit",
        figure="head_speed_rpm",
        what="head speed",
        unit="rpm",
        limit_key="limits.head_speed_max",
    ),
)
HOVER_DUTY_LOW = Check(
    check="hover_duty", figure="duty", what="hover duty", unit="", limit_key="limits.hover_duty_low", at_least=True
)
HOVER_DUTY_HIGH = Check(
    check="hover_duty", figure="duty", what="hover duty", unit="", limit_key="limits.hover_duty_high"
)
"""Under the lower end the controller is warmed by chopping, over the upper the pack's end leaves nothing."""
LIMIT_KEYS = tuple(
    dict.fromkeys(
        key for check in (*CHECKS, HOVER_DUTY_LOW, HOVER_DUTY_HIGH) for key in (check.limit_key, check.burst_key) if key
    )
)
"""Keys of every limit that a figure of the plan is held against."""


def checks_of(
    load: str, figures: Mapping[str, float], intervals: Mapping[str, Interval], limit: FindLimit
) -> tuple[Verdict, ...]:
    """Return the verdicts on one condition's figures, each under its load's own limit."""
    verdicts = []
    for check in CHECKS:
        figure, interval = figures[check.figure], intervals.get(check.figure)
        key = check.key_for(load in LONG)
        bound = limit(key)
        if bound is None:
            verdicts.append(_without_limit(check, key, figure, interval))
            continue
        held = Verdict.at_least if check.at_least else Verdict.at_most
        verdicts.append(held(check.check, figure, bound, what=check.what, interval=interval))
    if load == HOVER:
        low, high = limit(HOVER_DUTY_LOW.limit_key), limit(HOVER_DUTY_HIGH.limit_key)
        duty, doubt = figures["duty"], intervals.get("duty")
        verdicts.append(Verdict.between("hover_duty", duty, low, high, what="hover duty", interval=doubt))
    return tuple(verdicts)


def _without_limit(check: Check, key: str, figure: float, interval: Interval | None) -> Verdict:
    unit = f" {check.unit}" if check.unit else ""
    return Verdict(
        check=check.check,
        verdict=Outcome.UNKNOWN,
        reason=f"{check.what} is {figure:.4g}{unit}, and nobody stated its limit: {key}",
        figure=figure,
        figure_interval=interval,
        unit=check.unit,
        needs=(key,),
    )
