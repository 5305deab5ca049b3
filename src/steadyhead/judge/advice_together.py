"""The advice of several logs, told beside each other and beside the plan: no part both ways, none without head-room."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from steadyhead.judge.one_way import one_way, unless_the_pack_sags, with_its_logs
from steadyhead.judge.result import Judgement
from steadyhead.plan.result import Plan
from steadyhead.words.verdict import Outcome, Verdict

HEAD_ROOM = ("duty_margin", "step_held")
"""Checks of logs, plan and load steps that fail where the drive runs out of head-room."""


def told_together(logs: Sequence[Judgement], others: Iterable[Verdict] = ()) -> tuple[Judgement, ...]:
    """Return logs with their advice as it stands together; `others` are checks of the plan or of simulated loads."""
    flown = [check for log in logs for check in log.checks]
    every = (*flown, *others)
    no_room = any(check.check in HEAD_ROOM and check.verdict is Outcome.FAIL for check in every)
    lines = [unless_the_pack_sags(line, flown) for log in logs for line in log.advice]
    said = one_way(lines, no_room=no_room)
    named = [Path(log.log).name for log in logs for _ in log.advice]
    told = iter(with_its_logs(list(zip(named, said, strict=True))) if len(logs) > 1 else said)
    return tuple(replace(log, advice=tuple(dict.fromkeys(next(told) for _ in log.advice))) for log in logs)


def checks_of_plan(plan: Plan | None) -> tuple[Verdict, ...]:
    """Return every check of a plan; none where there is no plan."""
    return tuple(check for mode in plan.modes for one in mode.conditions for check in one.checks) if plan else ()
