"""What to change with its before and after, and what to measure next."""

import re
from collections.abc import Sequence

from steadyhead.advise.result import Advice, Change, Effect, MeasureNext
from steadyhead.report.content import Cell, Section, Table, columns, doubtful, points, verdict_cell
from steadyhead.report.names import check_name, file_name, key_name
from steadyhead.report.sentences import listed, sentence, tidy
from steadyhead.report.view import View, view
from steadyhead.report.wording import SHARES, band_words, figure, number, percent, percent_ranged, ranged

_NUMBER = re.compile(r"[0-9]+(?:[.][0-9]+)?")


def advised_view(advice: Advice) -> View:
    """Return each change with what it moves, what is withheld, and what to measure next, ranked."""
    changes = [_change(one, advice.looked_at) for one in advice.changes]
    rest = Section(
        anchor="rest",
        title="Held back, and not tried",
        short="Rest",
        points=(
            *points(
                "Held back, and why",
                _named([f"{key_name(one.key)}: {one.why}; {one.measure}" for one in advice.withheld], advice.looked_at),
            ),
            *points("Not tried in simulation", _named(advice.without_figures, advice.looked_at)),
            *points("Note", _named(advice.warnings, advice.looked_at)),
        ),
    )
    following = Section(
        anchor="next",
        title="Measure next",
        short="Measure next",
        lead=("Decides: unknown verdicts that this value alone, or half its spread, lets be given.",),
        tables=(_next(advice.measure_next),),
    )
    flown = Section(
        anchor="first",
        title="First, what the logs ask for",
        short="First",
        points=points("From the logs, not simulated", _named(advice.first, advice.looked_at)),
    )
    sections = [*([flown] if advice.first else []), *changes, *([following] if advice.measure_next else []), rest]
    facts = [
        f"Revision {advice.machine_revision}",
        f"looked at {listed([file_name(p) for p in advice.looked_at])}",
    ]
    return view(f"{advice.machine}, advice", advice.verdict, sections, facts, says=sentence(advice.says))


def _named(said: Sequence[str], looked_at: Sequence[str]) -> list[str]:
    """Return sentences in which a log is called by its name, without the folders that it lies in."""
    named = list(said)
    for source, name in ((source, file_name(source)) for source in looked_at):
        if name != source:
            named = [f"log {words}" if words.startswith(source) else words for words in named]
            named = [words.replace(source, name) for words in named]
    return named


def _change(one: Change, looked_at: Sequence[str]) -> Section:
    void = [check_name(check) for check in one.makes_void]
    return Section(
        anchor=f"change-{one.rank}",
        title=f"{one.rank}. {sentence(one.what).rstrip('.')}: {one.today} → {one.to}",
        short=f"Change {one.rank}",
        lead=tuple(sentence(words) for words in (one.sure, one.note) if words),
        tables=(_effects(one),) if one.effects else (),
        points=(*points("Because", _named(one.why, looked_at)), *points("Run again after it", void)),
    )


def _effects(one: Change) -> Table:
    return Table(
        caption="What it moves, worked out for the machine as described",
        columns=columns(
            *("Check", "What happens", "Where", "Before", "After", "Limit", "Verdict after"),
            words=(0, 1, 2, 6),
            weights=(2.0, 0.9, 1.3, 1.3, 1.3, 1.0, 0.9),
        ),
        rows=tuple(_effect(effect) for effect in one.effects),
        shape="cards",
    )


def _effect(one: Effect) -> tuple[Cell, ...]:
    return (
        Cell(text=check_name(one.check)),
        Cell(text=one.happens, strong=one.moved in ("mended", "spoilt")),
        Cell(text=one.place or one.part),
        _figure(one, one.before, one.before_interval),
        _figure(one, one.after, one.after_interval),
        Cell(text=tidy(_limit(one)) or "yes or no"),
        verdict_cell(one.after_verdict),
    )


def _is_share(one: Effect) -> bool:
    return one.check in SHARES and not one.unit


def _figure(one: Effect, value: float | None, interval: tuple[float, float] | None) -> Cell:
    if value is None:
        return Cell(text="–")
    return doubtful(percent_ranged(value, interval) if _is_share(one) else ranged(value, interval, one.unit))


def _limit(one: Effect) -> str:
    """Return the limit of a check; that of a share in percent."""
    band = band_words(one.limit_text, one.unit, share=_is_share(one))
    if band:
        return band
    sign, _, limit = one.limit_text.partition(" ")
    return (
        f"{sign} {figure(100.0 * float(limit), '%', digits=4)}"
        if _is_share(one) and _NUMBER.fullmatch(limit)
        else one.limit_text
    )


def _next(rows: tuple[MeasureNext, ...]) -> Table:
    return Table(
        caption="Ranked by the verdicts that it decides",
        columns=columns(
            *("Value", "Known from", "How", "Decides", "Has a part in", "Share of doubt"),
            words=(0, 1, 2),
            weights=(1.8, 1.0, 2.6, 0.7, 0.9, 0.9),
        ),
        rows=tuple(
            (
                Cell(text=f"{one.rank}. {key_name(one.key)}"),
                Cell(text=one.origin),
                Cell(text=sentence(one.how)),
                Cell(text=number(one.decides)),
                Cell(text=number(one.has_part_in)),
                Cell(text=percent(one.share, digits=2) if one.share else "–"),
            )
            for one in rows
        ),
        shape="cards",
    )
