"""What to enter: curve values, end points, thresholds, positions and spool times."""

from steadyhead.channel.result import ChannelAnswer, ModeCurve
from steadyhead.machine.description import Machine
from steadyhead.plan.result import Plan
from steadyhead.report.content import Cell, Table, columns, doubtful, verdict_cell
from steadyhead.report.wording import NOT_KNOWN, duration, figure, number, origin_words, ranged, room, value_words
from steadyhead.words.verdict import Outcome


def mode_settings(plan: Plan | None, channel: ChannelAnswer | None) -> Table:
    """Return the curve value of each flight mode with the head speed to expect; of a plan only where one was made."""
    curves = {curve.mode: curve for curve in channel.modes} if channel else {}
    planned = {mode.mode: mode for mode in plan.modes} if plan else {}
    rows = []
    for name in dict.fromkeys((*planned, *curves)):
        curve, mode = curves.get(name), planned.get(name)
        wanted = mode.head_speed_rpm if mode else curve.target_rpm if curve else None
        rows.append(
            (
                Cell(text=name),
                Cell(text=figure(wanted, "rpm", step=1.0)),
                *_entered(curve),
                *((verdict_cell(mode.verdict if mode else Outcome.UNKNOWN),) if plan else ()),
                verdict_cell(curve.verdict if curve else Outcome.UNKNOWN),
            )
        )
    return Table(
        caption="Curve value for each flight mode",
        columns=columns(
            "Flight mode",
            "Head speed wanted",
            "Enter curve",
            "Pulse",
            "Head speed to expect (90 %)",
            *(("Plan",) if plan else ()),
            "Channel",
            words=(0, 5, 6) if plan else (0, 5),
            weights=(1.4, 1.1, 1.0, 0.9, 1.7, 0.9, 0.9) if plan else (1.4, 1.1, 1.0, 0.9, 1.7, 0.9),
        ),
        rows=tuple(rows),
        note="Flat curves, the same value over the whole stick. Read the head speed after entering them.",
    )


def _entered(curve: ModeCurve | None) -> tuple[Cell, Cell, Cell]:
    if curve is None or curve.curve_percent is None:
        return Cell(text=NOT_KNOWN), Cell(text=NOT_KNOWN), Cell(text=NOT_KNOWN)
    return (
        Cell(text=f"{curve.curve_percent:.4g} %", strong=True),
        Cell(text=figure(curve.curve_us, "us", step=1.0)),
        doubtful(ranged(curve.expected_rpm, curve.expected_rpm_interval, "rpm", step=1.0)),
    )


def other_settings(machine: Machine, channel: ChannelAnswer | None) -> Table:
    """Return end points, positions, thresholds and spool times: what to enter, and where it comes from."""
    rows = [*_channel_rows(machine, channel), *_spool_rows(machine)]
    return Table(
        caption="End points, positions and spool times",
        columns=columns("Setting", "Value", "Remark", words=(0, 1, 2), weights=(1.3, 1.1, 2.2)),
        rows=tuple(rows),
        note="Verify each on the bench, blades off, with throttle hold on before the pack is connected.",
        shape="pairs",
    )


def _channel_rows(machine: Machine, channel: ChannelAnswer | None) -> list[tuple[Cell, ...]]:
    hold = machine.value("channel.hold")
    rows = [_row("Throttle hold", value_words(hold), origin_words(hold))]
    if channel is None:
        return [*rows, _row("End points", NOT_KNOWN, "the throttle channel was not worked out")]
    ends, marks = channel.end_points, channel.thresholds
    rows += [
        _row("Low end point", figure(ends.low_travel_percent, "%", step=0.1), _lands(ends.low_us, ends.learned_low_us)),
        _row(
            "High end point",
            figure(ends.high_travel_percent, "%", step=0.1),
            _lands(ends.high_us, ends.learned_high_us),
        ),
        _row("Autorotation position", room(channel.autorotation_window_percent), _autorotation_words(channel)),
        _row("Motor stops below", figure(marks.cut_off_percent, "%"), _pulse(marks.cut_off_us)),
        _row("Motor starts above", figure(marks.start_percent, "%"), _pulse(marks.start_us)),
        _row("Least margin to a threshold", figure(marks.margin_us, "us"), _steps(marks.margin_steps)),
        _row(
            "Start delay",
            duration(marks.start_delay_s, marks.start_delay_s_interval),
            "from the switch: gap to the start threshold over the channel's ramp, then the controller's own wait",
        ),
    ]
    return rows


def _spool_rows(machine: Machine) -> list[tuple[Cell, ...]]:
    rows = []
    for name, key in (("Soft spool-up", "governor.soft_spool"), ("Quick spool-up", "governor.quick_spool")):
        value = machine.value(key)
        rows.append(_row(name, value_words(value), origin_words(value) or "set it after the maker's manual"))
    return rows


def _autorotation_words(channel: ChannelAnswer) -> str:
    window, today = channel.autorotation_window_percent, channel.autorotation_percent
    if window is None:
        return "the window is not known: measure where the motor stops and starts"
    why = "inside it the motor idles after flight and never starts from rest"
    if today is None:
        return why
    inside = window[0] <= today <= window[1]
    return f"today {figure(today, '%')}: {'inside' if inside else 'OUTSIDE, change it'}; {why}"


def _lands(now_us: float, learned_us: float | None) -> str:
    if learned_us is None:
        return f"now {now_us:.0f} µs; the end that the controller learned is not known"
    return f"now {now_us:.0f} µs, learned {learned_us:.0f} µs"


def _pulse(pulse_us: float | None) -> str:
    return "not measured yet" if pulse_us is None else f"at {number(pulse_us, step=1.0)} µs"


def _steps(steps: float | None) -> str:
    return "thresholds not known" if steps is None else f"{number(steps)} steps of the channel"


def _row(*words: str) -> tuple[Cell, ...]:
    first, second, *rest = words
    return (Cell(text=first), Cell(text=second, strong=True), *(Cell(text=word) for word in rest))
