"""Checks in tables: the figure, its limit, who set the limit, the verdict, and the reason."""

import re
from collections.abc import Sequence
from typing import TypeVar

from steadyhead.judge.result import BailOut, Judgement, LoadEvent, Segment
from steadyhead.report.content import Cell, Table, columns, doubtful, verdict_cell
from steadyhead.report.names import check_name, humanised, need_name, segment_name
from steadyhead.report.overall import checks_together
from steadyhead.report.sentences import listed, sentence
from steadyhead.report.wording import SHARES, clock, figure, limit_words, percent, span, verdict_figure
from steadyhead.words.verdict import Outcome, Verdict

_HUNTING = 9
"""Which column of the stretches holds the hunting; its frequency stands beside it."""
_LIMIT_TAIL = re.compile(r"\s*, limits? (?:[<>]=|[-\d.e+]+ to) [^,()]*\([^()]*\)")
_ORDER = {Outcome.FAIL: 0, Outcome.UNKNOWN: 1, Outcome.PASS: 2}
MOST_ROWS = 200
"""Stretches or loads of a log that a table shows; those of some forty flights, more than anyone reads: own choice."""
MOST_BAIL_OUTS = 20
"""Bail-outs of a log that are told one by one: own choice."""
_ALL = "judge --json gives all of them."
_PART = TypeVar("_PART", Segment, LoadEvent)


def check_table(checks: Sequence[Verdict], caption: str) -> Table:
    """Return checks as a table, failed ones first, then those not known."""
    return Table(
        caption=caption,
        columns=columns(
            *("Check", "Verdict", "Figure", "Limit", "Where the limit comes from", "Reason"),
            words=(0, 1, 4, 5),
            weights=(1.5, 0.8, 1.1, 0.9, 1.2, 2.6),
        ),
        shape="checks",
        rows=tuple(_check_cells(check) for check in sorted(checks, key=lambda c: _ORDER[c.verdict])),
    )


def together_table(judgements: Sequence[Judgement]) -> Table:
    """Return every check once over all logs, with the logs that tell it."""
    found = sorted(checks_together(judgements), key=lambda pair: _ORDER[pair[0].verdict])
    return Table(
        caption="Every check over all logs",
        columns=columns(
            *("Check", "Verdict", "Figure", "Limit", "Told by"),
            words=(0, 1, 4),
            weights=(2.2, 0.9, 1.2, 1.0, 2.0),
        ),
        rows=tuple(
            (
                *_check_cells(check)[:4],
                Cell(text=listed(logs) if check.verdict is not Outcome.UNKNOWN else "no log can tell"),
            )
            for check, logs in found
        ),
        shape="checks",
        note="A log that cannot tell takes nothing from one that passes; one that fails a check fails it.",
    )


def _check_cells(check: Verdict) -> tuple[Cell, ...]:
    reason = check_reason(check)
    return (
        Cell(text=check_name(check.check)),
        verdict_cell(check.verdict),
        doubtful(verdict_figure(check)),
        Cell(text=limit_words(check)),
        Cell(text=humanised(check.limit_origin) or "–"),
        Cell(text=reason),
    )


def check_reason(check: Verdict) -> str:
    """Return why, without the limit, which stands in its own column, and with what would be needed to know more."""
    reason = _LIMIT_TAIL.sub("", check.reason, count=1) if check.limit is not None else check.reason
    if check.check in SHARES and not check.unit and check.figure is not None:
        # The figure beside it stands in percent, and so does its limit.
        reason = reason.replace(f"is {check.figure:.4g}", f"is {figure(100.0 * check.figure, '%')}")
        if check.figure_interval is not None:
            low, high = check.figure_interval
            doubt = f"from {figure(100.0 * low, '%')} to {figure(100.0 * high, '%')}"
            reason = reason.replace(f"from {low:.4g} to {high:.4g}", doubt)
    needs = listed([need_name(need) for need in check.needs])
    return sentence(reason) + (f" Needed: {needs}." if check.needs else "")


def segment_table(segments: Sequence[Segment], log: str) -> Table:
    """Return the stretches of one log with their governing figures: of very many those that strayed most."""
    shown, cut = _worst(segments, "stretches")
    return Table(
        caption=f"Stretches of {log}",
        columns=columns(
            *("Stretch", "From – to", "Set", "Mean", "Band ±", "Droop", "Undershoot", "Overshoot", "Recovery"),
            *("Hunting", "Most duty", "Least voltage", "Most current", "Energy"),
            weights=(1.5, 1.9, 1.1, 1.1, 0.9, 0.8, 1.3, 1.2, 1.1, 1.0, 0.9, 1.0, 1.0, 1.0),
        ),
        rows=tuple(_segment_cells(number, segment) for number, segment in shown),
        note=f"{cut}A dash: the log does not tell, or it means nothing in this stretch. Percent of the set head speed.",
        shape="slide",
    )


def _segment_cells(place: int, s: Segment) -> tuple[Cell, ...]:
    swing = f"at {figure(s.hunting_hz, 'Hz', digits=2)}" if s.hunting_hz is not None else ""
    words = (
        f"{place} {segment_name(s.kind)}",
        f"{clock(s.start_s)} – {clock(s.end_s)}",
        _dash(s.set_rpm, "rpm"),
        _dash(s.mean_rpm, "rpm"),
        _dash(s.steady_band_percent, "%"),
        _dash(s.droop_percent, "%"),
        _dash(s.undershoot_percent, "%"),
        _dash(s.overshoot_percent, "%"),
        _dash(s.recovery_s, "s"),
        _dash(s.hunting_percent, "%"),
        "–" if s.duty_max is None else percent(s.duty_max),
        _dash(s.pack_voltage_min_v, "V"),
        _dash(s.pack_current_max_a, "A"),
        _dash(s.energy_wh, "Wh"),
    )
    return tuple(Cell(text=word, aside=swing if n == _HUNTING else "") for n, word in enumerate(words))


def event_table(judgement: Judgement) -> Table:
    """Return the load changes of one log and how the governor took them: of very many those it took worst."""
    rows = []
    shown, cut = _worst(judgement.events, "load changes")
    for _, e in shown:
        words = (
            e.kind,
            f"{clock(e.start_s)} – {clock(e.end_s)}",
            _dash(e.set_rpm, "rpm"),
            _dash(e.droop_percent, "%"),
            _dash(e.undershoot_percent, "%"),
            _dash(e.overshoot_percent, "%"),
            _recovery(e),
            {True: "yes", False: "no", None: "not known"}[e.recovered],
            "–" if e.duty_max is None else percent(e.duty_max),
            _dash(e.pack_current_max_a, "A"),
        )
        rows.append(tuple(Cell(text=word) for word in words))
    return Table(
        caption=f"Load changes in {judgement.log}",
        columns=columns(
            *("Load", "From – to", "Set", "Droop", "Undershoot", "Overshoot", "Recovery", "Recovered"),
            *("Most duty", "Most current"),
            weights=(1.0, 1.6, *(1.0,) * 8),
        ),
        rows=tuple(rows),
        note=cut.rstrip(),
        shape="slide",
    )


def _worst(parts: Sequence[_PART], what: str) -> tuple[list[tuple[int, _PART]], str]:
    """Return the parts that a table shows with their numbers, in order of time, and words for those left out.

    A load that the head did not come back from goes before one that it did.
    """
    numbered = list(enumerate(parts, 1))
    if len(numbered) <= MOST_ROWS:
        return numbered, ""

    def badness(pair: tuple[int, _PART]) -> tuple[bool, float]:
        part = pair[1]
        lost = isinstance(part, LoadEvent) and part.recovered is False
        strayed = (part.droop_percent, part.undershoot_percent, part.overshoot_percent)
        return lost, max((abs(share) for share in strayed if share is not None), default=-1.0)

    worst = sorted(sorted(numbered, key=badness, reverse=True)[:MOST_ROWS])
    return worst, f"Of {len(numbered)} {what} the {MOST_ROWS} that strayed most are shown; {_ALL} "


def _recovery(event: LoadEvent) -> str:
    """Return how long the head took: no time where it did not come back, a least one where only one side is known."""
    known = [t for t in (event.load_recovery_s, event.unload_recovery_s) if t is not None]
    if event.recovered is False or not known:
        return "–"
    return f"{'' if event.recovered else '≥ '}{_dash(max(known), 's')}"


def log_figures(judgement: Judgement) -> tuple[str, ...]:
    """Return the figures of a whole log as sentences."""
    words = [f"{judgement.rows_read} rows over {clock(judgement.trace.duration_s)} (minutes and seconds)."]
    if judgement.pack_resistance_mohm is not None:
        resistance = figure(judgement.pack_resistance_mohm, "mohm")
        words.append(f"Pack resistance {resistance} (90 %: {span(judgement.pack_resistance_mohm_interval)}).")
    if judgement.energy_wh is not None:
        words.append(f"Energy taken {figure(judgement.energy_wh, 'Wh')}.")
    if judgement.charge_used_mah is not None:
        words.append(f"Charge taken {figure(judgement.charge_used_mah, 'mAh')}.")
    words += [_bail_out_words(out) for out in judgement.bail_outs[:MOST_BAIL_OUTS]]
    count = len(judgement.bail_outs)
    if count > MOST_BAIL_OUTS:
        words.append(f"{count} bail-outs in all, of which the first {MOST_BAIL_OUTS} are told; {_ALL}")
    return tuple(words)


def _bail_out_words(out: BailOut) -> str:
    told = [
        (out.motor_started_after_s, "s", "motor back after "),
        (out.to_set_speed_s, "s", "at set speed after "),
        (out.height_lost_m, "m", "height lost "),
        (out.least_rpm, "rpm", "least head speed "),
    ]
    said = [before + figure(value, unit) for value, unit, before in told if value is not None]
    kind = "taken back too soon to be judged" if out.taken_back else "a quick restart"
    kind = kind if out.quick or out.taken_back else "no quick restart"
    return f"Bail-out at {clock(out.start_s)}: {kind}{''.join(', ' + words for words in said)}."


def _dash(value: float | None, unit: str) -> str:
    if value is None:
        return "–"
    return figure(value, unit, step=1.0) if unit == "rpm" else figure(value, unit, digits=2 if unit == "%" else 3)
