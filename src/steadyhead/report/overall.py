"""The one verdict of the sheet: of the plan, the channel, and the logs taken together."""

from collections.abc import Sequence

from steadyhead.channel.fitted_law import law_name
from steadyhead.channel.result import ChannelAnswer
from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.judge.result import Judgement
from steadyhead.judge.worst_figure import shown_of
from steadyhead.plan.result import Plan
from steadyhead.report.content import Part
from steadyhead.report.names import check_name
from steadyhead.report.sentences import counted, quoted, sentence
from steadyhead.words.verdict import Outcome, Verdict, worst


def sheet_verdict(plan: Plan | None, channel: ChannelAnswer | None, judgements: Sequence[Judgement]) -> Outcome:
    """Return the verdict of the whole sheet; a part that was not done is unknown, never pass."""
    return worst(part.verdict for part in sheet_parts(plan, channel, judgements))


def sheet_parts(
    plan: Plan | None,
    channel: ChannelAnswer | None,
    judgements: Sequence[Judgement],
    descent: DescendAnswer | None = None,
) -> tuple[Part, ...]:
    """Return the parts of the verdict, each with a sentence that says why; the descent only where it was worked out."""
    parts = (_plan_part(plan), _channel_part(channel), _logs_part(judgements))
    return parts if descent is None else (*parts, _descent_part(descent))


def checks_together(judgements: Sequence[Judgement]) -> tuple[tuple[Verdict, tuple[str, ...]], ...]:
    """Return each check once over all logs, with the logs that tell it.

    One log that fails a check fails it; a figure whose doubt reaches over its limit leaves it unknown. A log that
    cannot tell takes nothing from one that passes: a bench log has no climb-out. The figure is the worst of those logs.
    """
    found: dict[str, list[tuple[Verdict, str]]] = {}
    for judgement in judgements:
        for check in judgement.checks:
            found.setdefault(check.check, []).append((check, judgement.log))
    return tuple(_together(entries) for entries in found.values())


def _together(entries: list[tuple[Verdict, str]]) -> tuple[Verdict, tuple[str, ...]]:
    failed = [entry for entry in entries if entry[0].verdict is Outcome.FAIL]
    doubtful = [entry for entry in entries if entry[0].verdict is Outcome.UNKNOWN and entry[0].figure is not None]
    passed = [entry for entry in entries if entry[0].verdict is Outcome.PASS]
    told = failed or doubtful or passed
    said = [check for check, _ in (told or entries)]
    beside = [check for check, _ in passed] if told is doubtful else []
    return shown_of([*said, *beside], said[0].verdict, "in another log"), tuple(log for _, log in told)


def _plan_part(plan: Plan | None) -> Part:
    if plan is None:
        return Part(name="Plan", verdict=Outcome.UNKNOWN, says="The head speeds were not planned.")
    if not plan.modes:
        return Part(name="Plan", verdict=plan.verdict, says="The machine file names no flight mode.")
    held = [mode.mode for mode in plan.modes if mode.verdict is Outcome.PASS]
    says = f"{len(held)} of {counted(len(plan.modes), 'flight mode')} held in every condition planned for."
    return Part(name="Plan", verdict=plan.verdict, says=says)


def _channel_part(channel: ChannelAnswer | None) -> Part:
    if channel is None:
        return Part(name="Channel", verdict=Outcome.UNKNOWN, says="The throttle channel was not worked out.")
    says = sentence(channel.reasons[0]) if channel.reasons else f"Set-point law: {law_name(channel.law.kind)}."
    return Part(name="Channel", verdict=channel.verdict, says=says)


def _descent_part(descent: DescendAnswer) -> Part:
    says = sentence(descent.reasons[0]) if descent.reasons else "Every check of the autorotation passed."
    return Part(name="Descent", verdict=descent.verdict, says=says)


def _logs_part(judgements: Sequence[Judgement]) -> Part:
    if not judgements:
        return Part(name="Logs", verdict=Outcome.UNKNOWN, says="No log was judged: nothing here is proved yet.")
    checks = [check for check, _ in checks_together(judgements)]
    outcome = worst(check.verdict for check in checks)
    if any(judgement.verdict is Outcome.FAIL for judgement in judgements):
        outcome = Outcome.FAIL
    failed = [check_name(c.check).lower() for c in checks if c.verdict is Outcome.FAIL]
    unknown = [c for c in checks if c.verdict is Outcome.UNKNOWN]
    passed = len(checks) - len(failed) - len(unknown)
    says = f"{counted(len(judgements), 'log')}: {passed} of {counted(len(checks), 'check')} passed"
    says += f", failed: {quoted(failed, most=3)}" if failed else ""
    says += f", {len(unknown)} not known" if unknown else ""
    return Part(name="Logs", verdict=outcome, says=says + ".")
