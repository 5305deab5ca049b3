"""Several logs of one machine together: what they prove, what they spoil, and what moves from flight to flight."""

from collections.abc import Sequence
from dataclasses import replace

from steadyhead.judge.advice_together import told_together
from steadyhead.judge.log_order import by_date
from steadyhead.judge.other_machine import MISFIT
from steadyhead.judge.result import Judgement, Session, SessionCheck
from steadyhead.judge.rotated import parted, whole_flights
from steadyhead.judge.same_log import once
from steadyhead.judge.trends import trends
from steadyhead.judge.worst_figure import shown_of, worst_figure
from steadyhead.machine.description import Machine
from steadyhead.words.cautions import ALL
from steadyhead.words.verdict import Outcome, Verdict, worst

IN_EVERY_FLIGHT = (
    "cell_voltage",
    "charge_left",
    "esc_current",
    "pack_resistance",
    "tip_speed",
    "head_speed_limit",
    "controller_temperature",
    "motor_temperature",
)
"""What must hold in every flight: one log that does not show it leaves the whole unknown."""


def session(machine: Machine, logs: Sequence[Judgement], *, unread: tuple[str, ...] = ()) -> Session:
    """Return several judged logs with what they say together; one that was given before counts once.

    `unread` names the logs that could not be read, and why: with one of them nothing passes as a whole.

    Valid: one or more logs of the same machine, in the order in which they were made, or each with its date.
    """
    logs, again = once([(log.trace, log) for log in logs])
    logs, dates = by_date(logs)
    logs = told_together(logs)
    if len(logs) == 1 and again and not unread:
        logs = [replace(logs[0], warnings=(*again, *logs[0].warnings))]
    twice = parted(logs)
    flights = whole_flights(logs, twice.seams)
    energies = [log.energy_wh for log in logs if log.energy_wh is not None]
    names = dict.fromkeys(check.check for log in logs for check in log.checks)
    return Session(
        machine=machine.name,
        logs=tuple(logs),
        unread=unread,
        warnings=(*again, *dates, *twice.words, *_of_another(logs)),
        flights=len(flights),
        energy_wh=sum(energies) - twice.energy_wh if energies else None,
        checks=tuple(_unless_unread(_together(name, logs), unread) for name in names),
        trends=trends(flights),
        verdict=worst((*(log.verdict for log in logs), *(Outcome.UNKNOWN for _ in unread))),
        cautions=ALL,
    )


def _unless_unread(check: SessionCheck, unread: tuple[str, ...]) -> SessionCheck:
    """Return what must hold in every flight as unknown where a log was not read."""
    if not unread or check.check not in IN_EVERY_FLIGHT or check.verdict is not Outcome.PASS:
        return check
    return replace(check, verdict=Outcome.UNKNOWN, reason=f"{check.reason}; but not every log could be read")


def _of_another(logs: Sequence[Judgement]) -> list[str]:
    """Name the logs that another machine flew, by their own warnings: what they show counts for this one, too."""
    found = [(log.log, next((said for said in log.warnings if said.startswith(MISFIT)), "")) for log in logs]
    return [f"{log}: {said}" for log, said in found if said]


def _together(name: str, logs: Sequence[Judgement]) -> SessionCheck:
    """A fail anywhere is a fail; a pass proves what another log only does not show, but not what it leaves in doubt."""
    own = [(log.log, check) for log in logs for check in log.checks if check.check == name]
    counts = {outcome: sum(check.verdict is outcome for _, check in own) for outcome in Outcome}
    outcome = outcome_of(name, [check for _, check in own])
    checks = [check for _, check in own]
    worst_one = worst_figure([check for check in checks if check.verdict is outcome])
    shown = shown_of(checks, outcome, "in this log")
    return SessionCheck(
        check=name,
        verdict=outcome,
        passed=counts[Outcome.PASS],
        failed=counts[Outcome.FAIL],
        unknown=counts[Outcome.UNKNOWN],
        worst_log=next(log for log, check in own if check is worst_one),
        reason=shown.reason,
        figure=shown.figure,
        figure_interval=shown.figure_interval,
        unit=shown.unit,
        limit=shown.limit,
        limit_text=shown.limit_text,
        limit_origin=shown.limit_origin,
    )


def outcome_of(name: str, checks: Sequence[Verdict]) -> Outcome:
    """Return the outcome of one check over several logs, or pieces of a log."""
    outcomes = {check.verdict for check in checks}
    if Outcome.FAIL in outcomes or Outcome.PASS not in outcomes:
        return worst(outcomes)
    unknown = [check for check in checks if check.verdict is Outcome.UNKNOWN]
    doubtful = any(name in IN_EVERY_FLIGHT or check.figure is not None for check in unknown)
    return Outcome.UNKNOWN if doubtful else Outcome.PASS
