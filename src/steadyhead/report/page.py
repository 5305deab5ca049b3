"""The one-page version: what to enter, what decides, what failed, what to do next."""

from steadyhead.report.bail_out_tables import height_line
from steadyhead.report.content import Cell, Heading, PageSheet, Table
from steadyhead.report.evidence import Evidence
from steadyhead.report.names import check_name, key_name
from steadyhead.report.overall import checks_together
from steadyhead.report.plan_tables import mode_table
from steadyhead.report.sentences import listed, sentence
from steadyhead.report.settings_tables import mode_settings, other_settings
from steadyhead.report.void import void_sentence
from steadyhead.words.verdict import Outcome

MOST_NOTES = 3
MOST_CHECKS = 30
_ORDER = {Outcome.FAIL: 0, Outcome.UNKNOWN: 1, Outcome.PASS: 2}


def page_sheet(top: Heading, evidence: Evidence) -> PageSheet:
    """Return the one-page version; what does not fit is counted, and stands in the full one."""
    empty = Table(caption="What the drive has to give", columns=(), rows=(), note="The head speeds were not planned.")
    checks = sorted(checks_together(evidence.judgements), key=lambda pair: _ORDER[pair[0].verdict])
    open_ = [check for check in evidence.channel_checks() if check.verdict is not Outcome.PASS]
    on_bench = [check for check in evidence.bench.checks if check.verdict is not Outcome.PASS] if evidence.bench else []
    shown = list({check.check: check for check in (*open_, *on_bench, *(check for check, _ in checks))}.values())
    return PageSheet(
        heading=top,
        settings=mode_settings(evidence.plan, evidence.channel),
        others=other_settings(evidence.machine, evidence.channel),
        plan=mode_table(evidence.plan) if evidence.plan else empty,
        checks=tuple(
            Cell(text=check_name(check.check), verdict=check.verdict.value)
            for check in sorted(shown, key=lambda c: _ORDER[c.verdict])[:MOST_CHECKS]
        ),
        checks_title=_checks_title(len(checks), len(shown)),
        drawings=evidence.drawn("duty", "law"),
        notes=tuple(_notes(evidence)),
    )


def _checks_title(on_logs: int, shown: int) -> str:
    title = "Checks on the logs" if on_logs else "No log was judged"
    title += ", and what is open in the channel" if shown > on_logs else ""
    return title + (f" (first {MOST_CHECKS} of {shown})" if shown > MOST_CHECKS else "")


def _notes(evidence: Evidence) -> list[tuple[str, str]]:
    checked = [*(check for check, _ in checks_together(evidence.judgements)), *evidence.channel_checks()]
    checked += evidence.bench.checks if evidence.bench else ()
    plan_fails = evidence.plan.reasons if evidence.plan and evidence.plan.verdict is Outcome.FAIL else ()
    failed = [*(check.reason for check in checked if check.verdict is Outcome.FAIL), *plan_fails]
    advice = [a for judgement in evidence.judgements for a in judgement.advice]
    doubts = [d.sentence.partition(f": {d.key} carries")[0] for d in evidence.plan.doubts] if evidence.plan else []
    typical = [key_name(key) for key in evidence.machine.typical()]
    warnings = [w for judgement in evidence.judgements for w in judgement.warnings]
    notes = [
        ("Failed", _first(failed, most=4)),
        ("Bail-out height", height_line(evidence.descent)),
        ("Logs kept", evidence.kept_logs),
        ("Advice", _first(advice)),
        ("Measure next", _first(doubts)),
        ("Only typical", listed(typical, most=6) if typical else ""),
        ("Log warnings", _first(warnings)),
        ("After a change run again", void_sentence()),
    ]
    return [(name, words) for name, words in notes if words]


def _first(sentences: list[str], most: int = MOST_NOTES) -> str:
    told = list(dict.fromkeys(map(sentence, sentences)))
    left = len(told) - most
    return " ".join(told[:most]) + (f" And {left} more in the full sheet." if left > 0 else "")
