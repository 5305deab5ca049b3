"""`advise`: from figures to what to change and by how much, simulated before and after, and what to measure next."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from itertools import groupby
from typing import NamedTuple

from steadyhead.advise.effects import (
    BETTER,
    MENDED,
    broken,
    change_of,
    helps,
    never_helps,
    parts_of,
    score,
    shortfall,
)
from steadyhead.advise.evidence import DRAWN_ANYWAY, Evidence, evidence
from steadyhead.advise.flown_amounts import is_of_mode, not_of_a_swinging_loop, with_flown
from steadyhead.advise.harm import harmless, spoils
from steadyhead.advise.held_by_logs import held_by_logs
from steadyhead.advise.judges_words import GAINS, agreed
from steadyhead.advise.measure_next import LOG, measure_next
from steadyhead.advise.ramp_trials import shortest_times
from steadyhead.advise.result import Advice, Change, Withheld
from steadyhead.advise.seen import PARTS, PLAN, Seen
from steadyhead.advise.trial import NoNumber, Trial
from steadyhead.advise.trials import trials
from steadyhead.bench.law_evidence import LawEvidence
from steadyhead.channel.answer import void_words
from steadyhead.channel.reading_text import reading_from_text
from steadyhead.channel.result import Reading
from steadyhead.judge.advice import ONE_AT_A_TIME
from steadyhead.judge.advice_together import told_together
from steadyhead.judge.readings import readings as readings_of
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.trace.each_read import left_out
from steadyhead.words.cautions import ADVICE_ONLY, BENCH, DESCENT, FLIGHT, PACK
from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, worst

NOTHING = "Nothing fails and nothing is unknown: there is nothing to change and nothing to measure."
SPOILS_FIRST = "first mend or widen what it would break, or make two changes one after the other and judge in between"
GAINS_DO_NOT = "of all gains tried {to} comes nearest, and in the simulation mends no more than it makes worse"
LOG_GAINS = "log a flight with climb-outs, judge it, and go by what the judge says of the gains"
WORKED_OUT = 2
"""Of several values for one key so many are worked out in full."""
TOLD_ALIKE = 5
"""So much of the order of trials is told without the doubt: harm, failing checks and how far they are beyond."""
MARGINS = ("modulus_margin", "gain_margin", "phase_margin")
SIMULATED = "Every figure after a change is computed for the machine as described; only a log proves it."


def advise(
    machine: Machine,
    judgements: Sequence[Judgement] = (),
    readings: Sequence[str] = (),
    *,
    law: LawEvidence | None = None,
    say: Say = silent,
    unread: Sequence[str] = (),
) -> Advice:
    """Return the changes that make failing checks better, ranked, and what to measure next.

    `readings` are typed, as `channel` takes them; those of the judged logs come in by themselves, but for `law`: what
    the record holds of the set-point law, those of its logs among it. `unread` names logs that could not be read, and
    why: with one of them nothing passes as a whole.

    Raises: InputError for a machine without flight modes.
    """
    if not machine.flight_mode:
        raise InputError(f"machine {machine.name}, flight_mode", read="nothing", right="[[flight_mode]] with a name")
    typed = [reading_from_text(text) for text in readings]
    machine = law.counted(machine) if law is not None else machine
    found_in = law.readings if law is not None else (one for judged in judgements for one in readings_of(judged))
    known = (*typed, *found_in)
    seen = evidence(machine, PARTS, known, say)
    logged = of_logs(judgements)
    every = (*seen.every, *logged)
    found, withheld = changes_of(machine, seen, known, say, logged)
    together = told_together(judgements, (one.check for one in seen.every))
    lines = [(judged.log, line) for judged in together for line in judged.advice]
    shortest_s = shortest_times(seen.governor.ramps) if seen.governor is not None else {}
    found, forbidden = held_by_logs(machine, found, logged)
    found, withheld, words = agreed(machine, found, (*withheld, *forbidden), lines, shortest_s)
    calm = not_of_a_swinging_loop(logged)
    told = [(change, logged if change.key == GAINS else calm) for change in found]
    changes = tuple(with_flown(machine, with_logs(machine, change, flown), flown) for change, flown in told)
    say("what to measure next")
    unknown = [one for one in every if one.check.verdict is Outcome.UNKNOWN]
    ranked = measure_next(machine, every, seen.solved, seen.doubts)
    failing = [one for one in every if one.fails]
    return Advice(
        machine=machine.name,
        machine_revision=machine.revision,
        looked_at=(*seen.parts, *(judged.log for judged in judgements)),
        failing=len(failing),
        unknown=len(unknown),
        first=words,
        changes=changes,
        withheld=withheld,
        without_figures=without_figures(failing, changes),
        measure_next=ranked if unknown or failing else (),
        verdict=worst(
            (*(one.check.verdict for one in every), *(Outcome.UNKNOWN for _ in (*unread, *seen.cannot))),
        ),
        says=_says(failing, unknown, changes, seen.cannot, first=bool(words)),
        warnings=(
            SIMULATED,
            *(left_out(said) for said in unread),
            *(f"{part} could not be worked out: {why}" for part, why in seen.cannot.items()),
            *(void_words(one) for one in (law.void if law is not None else ())),
        ),
        cautions=(*BENCH, *FLIGHT, *DESCENT, *PACK, *ADVICE_ONLY),
    )


def changes_of(
    machine: Machine, seen: Evidence, readings: Sequence[Reading], say: Say, logged: Sequence[Seen] = ()
) -> tuple[tuple[Change, ...], tuple[Withheld, ...]]:
    """Return the changes that help, best first, the best for each key; and those that are held back, with why.

    A change that makes a check fail that passes today comes after all that do not; where all do, all are held back.
    """
    withheld, found = [], []
    for _, tried in groupby(trials(machine, seen, readings, say, logged), key=lambda one: one.key):
        group = []
        for one in tried:
            if isinstance(one, NoNumber):
                withheld.append(Withheld(key=one.key, why=one.why, measure=one.measure))
            else:
                group.append(one)
        best = best_of(group, seen, readings, say)
        if best is not None:
            found.append(best)
        elif group and group[0].key == GAINS:
            withheld.append(Withheld(key=GAINS, why=GAINS_DO_NOT.format(to=group[0].to), measure=LOG_GAINS))
    changes, spoiling = ranked(found)
    return changes, (*withheld, *spoiling)


def ranked(found: Sequence["Ranked"]) -> tuple[tuple[Change, ...], tuple[Withheld, ...]]:
    """Return changes best first, those that break what passes today last; where all do, all are held back.

    Before those stand the ones that make a check fail that is unknown today, after all that spoil none.
    """
    ordered = sorted(found, key=lambda one: (one.harm, not one.calms, round(one.left, 6), one.order, one.change.key))
    if ordered and ordered[0].breaks:
        return (), tuple(_spoiling(one) for one in ordered)
    return tuple(replace(one.change, rank=rank) for rank, one in enumerate(ordered, start=1)), ()


def _spoiling(one: "Ranked") -> Withheld:
    """Hold back a change that would be named first and makes another check fail."""
    mended = _listed(effect.check for effect in one.change.effects if effect.moved in (MENDED, BETTER))
    why = f"{one.change.to} would help {mended}, but what passes today fails after it: {one.breaks[0]}"
    return Withheld(key=one.change.key, why=why, measure=SPOILS_FIRST)


def _listed(checks: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(check.replace("_", " ") for check in checks))


class Ranked(NamedTuple):
    """A change that helps: how it ranks among other values of its key, and by how much less is left wrong with it."""

    order: tuple[float, ...]
    left: float
    change: Change
    spoils: tuple[Seen, ...] = ()
    """Checks that fail with it and did not before."""
    breaks: tuple[Seen, ...] = ()
    """Those of them that passed."""

    @property
    def calms(self) -> bool:
        """Whether it takes a loop away from hunting: whatever else is wrong, a head that hunts comes first."""
        moved = {one.check for one in self.change.effects if one.moved in (MENDED, BETTER)}
        return any(check in moved and self.change.key == GAINS for check in MARGINS)

    @property
    def harm(self) -> tuple[bool, bool]:
        """Whether it makes a check fail that passed, or that was unknown."""
        return bool(self.breaks), bool(self.spoils)


def best_of(group: Sequence[Trial], seen: Evidence, readings: Sequence[Reading], say: Say) -> Ranked | None:
    """Return the best of several values for one key; None where none helps.

    Each is looked at by the part that tells most for least; the best of these are worked out in full, where that takes
    long only until one helps.
    """
    looked = [(one, first_look(one, seen, readings, say)) for one in group]
    able = [(one, first) for one, first in looked if first is not None]
    whole: list[Ranked] = []
    for one, first in told_apart(able, seen, readings)[:WORKED_OUT]:
        found = judged(one, first, seen, readings, say)
        if found is not None and PLAN in first.parts and not found.spoils:
            return found
        whole += [found] if found is not None else []
    return min(whole, key=lambda one: (*one.harm, *one.order), default=None)


def told_apart(
    able: Sequence[tuple[Trial, Evidence]], seen: Evidence, readings: Sequence[Reading]
) -> list[tuple[Trial, Evidence]]:
    """Return trials with their first part, best first, the first few of them with their doubt.

    What fails, and by how much, the plan tells of the machine as described; only those that may come to be worked out
    are solved with the doubt on every input, which tells those apart that are alike so far.
    """

    def order(pair: tuple[Trial, Evidence]) -> tuple[float, ...]:
        parts = tuple(pair[1].parts)
        before = parts_of(seen, parts)
        spoilt, worth = spoils(before, pair[1].every), harmless(before, pair[1].every)
        harm = (not worth, bool(broken(before, spoilt)), bool(spoilt))
        return (*map(float, harm), *gained(seen, pair[1], parts))

    ranked = sorted(able, key=lambda pair: order(pair)[:TOLD_ALIKE])
    if not ranked or PLAN not in ranked[0][1].parts:
        return sorted(able, key=order)
    last = order(ranked[:WORKED_OUT][-1])[:TOLD_ALIKE]
    near = [pair for pair in ranked if order(pair)[:TOLD_ALIKE] <= last]
    return sorted(((one, evidence(one.machine, (PLAN,), readings, silent, seen)) for one, _ in near), key=order)


def first_look(trial: Trial, seen: Evidence, readings: Sequence[Reading], say: Say) -> Evidence | None:
    """Return the first part that a trial touches, looked at anew; None where that says already that it spoils."""
    part = next((one for one in trial.touches if one in seen.parts), None)
    if part is None:
        return None
    say(f"try {trial.what} {trial.to}")
    first = evidence(trial.machine, (part,), readings, silent, seen, alone=part == PLAN)
    elsewhere = sum(one.fails for name in trial.touches if name != part for one in seen.parts.get(name, ()))
    if first.cannot or never_helps(seen.parts[part], first.every, elsewhere):
        return None
    asked_here = any(one.fails for one in seen.parts[part])
    hopeless = asked_here and part == PLAN and not elsewhere
    return first if helps(seen.parts[part], first.every) or not hopeless else None


def judged(trial: Trial, first: Evidence, seen: Evidence, readings: Sequence[Reading], say: Say) -> Ranked | None:
    """Return a trial worked out anew; None where it does not help."""
    parts = [part for part in trial.touches if part in seen.parts]
    rest = [part for part in parts if part not in first.parts]
    if PLAN in first.parts and not helps(seen.parts[PLAN], first.every):
        drawn = [part for part in rest if part in DRAWN_ANYWAY]
        alone = [part for part in rest if part not in drawn]
        described = evidence(trial.machine, alone, readings, silent, first, alone=True)
        no_hope = not any(one.fails for one in parts_of(seen, drawn))
        if described.cannot or (
            no_hope and not helps(parts_of(seen, (PLAN, *alone)), (*first.every, *described.every))
        ):
            return None
    after = evidence(trial.machine, rest, readings, say, first)
    if after.cannot:
        return None
    now = (*first.every, *after.every)
    change = change_of(trial, parts_of(seen, parts), now)
    if change is None:
        return None
    before = parts_of(seen, parts)
    failed = {one.key for one in before if one.fails}
    whole = replace(after, parts={**first.parts, **after.parts})
    spoilt = spoils(before, now)
    return Ranked(
        gained(seen, whole, parts), shortfall(now, failed) - shortfall(before), change, spoilt, broken(before, spoilt)
    )


def gained(seen: Evidence, after: Evidence, parts: Sequence[str]) -> tuple[float, ...]:
    """Return how much worse a change makes some parts: failing checks, how far beyond, unknown ones; less is better."""
    before, now = parts_of(seen, parts), parts_of(after, parts)
    failed = {one.key for one in before if one.fails}
    return tuple(float(new - old) for new, old in zip(score(now, failed), score(before, failed), strict=True))


def with_logs(machine: Machine, change: Change, logged: Sequence[Seen]) -> Change:
    """Return a change with the failing checks of logs that it is for, too."""
    names = {one.check for one in change.effects if one.moved in (MENDED, BETTER)}
    seen = [str(one) for one in logged if one.fails and one.check.check in names and is_of_mode(machine, change, one)]
    return replace(change, why=(*change.why, *seen))


def of_logs(judgements: Sequence[Judgement]) -> tuple[Seen, ...]:
    """Return the checks of judged logs."""
    return tuple(
        Seen(part=f"{LOG}{judged.log}", place="", check=check) for judged in judgements for check in judged.checks
    )


def without_figures(failing: Sequence[Seen], changes: Sequence[Change]) -> tuple[str, ...]:
    """Return the failing checks that no change here mends."""
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
    return tuple(dict.fromkeys((*open_ones, *logged)))


def _says(
    failing: Sequence[Seen], unknown: Sequence[Seen], changes: Sequence[Change], cannot: Collection[str] = (),
    *, first: bool = False,
) -> str:  # fmt: skip
    if not failing and not unknown:
        return f"Not worked out: {', '.join(cannot)}. Nothing else fails or is unknown." if cannot else NOTHING
    if not failing:
        return f"Nothing fails: no change is advised. {len(unknown)} verdicts are unknown: measure next."
    count = f"{len(failing)} checks fail, {len(unknown)} are unknown"
    count = f"{count}. First see to what the logs ask for" if first else count
    if not changes:
        after = f" {ONE_AT_A_TIME}" if first else ""
        return f"{count}. No single change tried here makes a failing check better.{after}"
    return f"{count}. Change one thing at a time, run again what it makes void, and judge a log before the next."
