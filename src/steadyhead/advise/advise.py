"""`advise`: from figures to what to change and by how much, simulated before and after, and what to measure next."""

from collections.abc import Sequence
from dataclasses import replace

from steadyhead.advise.effects import BETTER, MENDED, change_of, helps, parts_of, score
from steadyhead.advise.evidence import PARTS, PLAN, Evidence, Seen, evidence
from steadyhead.advise.measure_next import LOG, measure_next
from steadyhead.advise.result import Advice, Change, Withheld
from steadyhead.advise.trials import NoNumber, Trial, trials
from steadyhead.channel.reading_text import reading_from_text
from steadyhead.channel.result import Reading
from steadyhead.flight.descend import descend
from steadyhead.judge.readings import readings as readings_of
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.plan.result import Doubt
from steadyhead.plan.solved import solve
from steadyhead.words.cautions import ADVICE_ONLY, BENCH, DESCENT, FLIGHT, PACK
from steadyhead.words.errors import InputError, SteadyheadError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, worst

NOTHING = "Nothing fails and nothing is unknown: there is nothing to change and nothing to measure."
SIMULATED = "Every figure after a change is computed for the machine as described; only a log proves it."


def advise(
    machine: Machine, judgements: Sequence[Judgement] = (), readings: Sequence[str] = (), *, say: Say = silent
) -> Advice:
    """Return the changes that make failing checks better, ranked, and what to measure next.

    `readings` are typed, as `channel` takes them; those of the judged logs come in by themselves.

    Raises: InputError for a machine without flight modes.
    """
    if not machine.flight_mode:
        raise InputError(f"machine {machine.name}, flight_mode", read="nothing", right="[[flight_mode]] with a name")
    typed = [reading_from_text(text) for text in readings]
    known = (*typed, *(one for judged in judgements for one in readings_of(judged)))
    seen = evidence(machine, PARTS, known, say)
    logged = of_logs(judgements)
    every = (*seen.every, *logged)
    found, withheld = changes_of(machine, seen, known, say)
    changes = tuple(with_logs(change, logged) for change in found)
    say("what to measure next")
    unknown = [one for one in every if one.check.verdict is Outcome.UNKNOWN]
    ranked = measure_next(machine, every, solve(machine) if PLAN in seen.parts else None, _descent_doubts(machine))
    failing = [one for one in every if one.fails]
    return Advice(
        machine=machine.name,
        machine_revision=machine.revision,
        looked_at=(*seen.parts, *(judged.log for judged in judgements)),
        failing=len(failing),
        unknown=len(unknown),
        changes=changes,
        withheld=withheld,
        without_figures=without_figures(failing, changes, judgements),
        measure_next=ranked if unknown or failing else (),
        verdict=worst(one.check.verdict for one in every),
        says=_says(failing, unknown, changes),
        warnings=(SIMULATED, *(f"{part} could not be worked out: {why}" for part, why in seen.cannot.items())),
        cautions=(*BENCH, *FLIGHT, *DESCENT, *PACK, *ADVICE_ONLY),
    )


def changes_of(
    machine: Machine, seen: Evidence, readings: Sequence[Reading], say: Say
) -> tuple[tuple[Change, ...], tuple[Withheld, ...]]:
    """Return the changes that help, best first, the best for each key; and those whose today is not known."""
    best: dict[str, tuple[tuple[float, ...], Change]] = {}
    withheld = []
    for tried in trials(machine, seen, readings, say):
        if isinstance(tried, NoNumber):
            withheld.append(Withheld(key=tried.key, why=tried.why, measure=tried.measure))
            continue
        found = judged(tried, seen, readings, say)
        if found and (tried.key not in best or found[0] < best[tried.key][0]):
            best[tried.key] = found
    ordered = sorted(best.values(), key=lambda pair: (*pair[0], pair[1].key))
    return tuple(replace(change, rank=rank) for rank, (_, change) in enumerate(ordered, start=1)), tuple(withheld)


def judged(
    trial: Trial, seen: Evidence, readings: Sequence[Reading], say: Say
) -> tuple[tuple[float, ...], Change] | None:
    """Return a trial worked out anew with how it ranks, less is better; None where it does not help."""
    parts = [part for part in trial.touches if part in seen.parts]
    if parts[0] == PLAN:
        first = evidence(trial.machine, parts[:1], readings, silent)
        if not helps(seen.parts[PLAN], first.every):
            return None
    after = evidence(trial.machine, parts, readings, say)
    if after.cannot:
        return None
    before, now = parts_of(seen, parts), parts_of(after, parts)
    change = change_of(trial, before, now)
    if change is None:
        return None
    failed = {one.key for one in before if one.fails}
    gained = [new - old for new, old in zip(score(now, failed), score(before, failed), strict=True)]
    return tuple(float(one) for one in gained), change


def with_logs(change: Change, logged: Sequence[Seen]) -> Change:
    """Return a change with the failing checks of logs that it is for, too."""
    names = {one.check for one in change.effects if one.moved in (MENDED, BETTER)}
    seen = [str(one) for one in logged if one.fails and one.check.check in names]
    return replace(change, why=(*change.why, *seen))


def of_logs(judgements: Sequence[Judgement]) -> tuple[Seen, ...]:
    """Return the checks of judged logs."""
    return tuple(
        Seen(part=f"{LOG}{judged.log}", place="", check=check) for judged in judgements for check in judged.checks
    )


def without_figures(
    failing: Sequence[Seen], changes: Sequence[Change], judgements: Sequence[Judgement]
) -> tuple[str, ...]:
    """Return the failing checks that no change here mends, and what the judge of the logs advises in words."""
    helped = {(one.part, one.check) for change in changes for one in change.effects if one.moved in (MENDED, BETTER)}
    names = {check for _, check in helped}
    open_ones = [
        f"no change tried here makes it better: {one}"
        for one in failing
        if (one.part, one.check.check) not in helped and not one.part.startswith(LOG)
    ]
    logged = [
        f"fails in the log, and no change tried here moves it in the simulation: {one}"
        for one in failing
        if one.part.startswith(LOG) and one.check.check not in names
    ]
    told = [f"{judged.log}: {line}" for judged in judgements for line in judged.advice]
    return tuple(dict.fromkeys((*open_ones, *logged, *told)))


def _descent_doubts(machine: Machine) -> tuple[Doubt, ...]:
    try:
        return descend(machine).doubts
    except SteadyheadError:
        return ()


def _says(failing: Sequence[Seen], unknown: Sequence[Seen], changes: Sequence[Change]) -> str:
    if not failing and not unknown:
        return NOTHING
    if not failing:
        return f"Nothing fails: no change is advised. {len(unknown)} verdicts are unknown: measure next."
    count = f"{len(failing)} checks fail, {len(unknown)} are unknown"
    if not changes:
        return f"{count}. No single change tried here makes a failing check better."
    return f"{count}. Change one thing at a time, run again what it makes void, and judge a log before the next."
