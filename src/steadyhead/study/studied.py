"""A study from its file to its answer."""

from dataclasses import replace
from pathlib import Path

from steadyhead.study.files import write_study
from steadyhead.study.questions import answered
from steadyhead.study.result import StudyAnswer
from steadyhead.study.run import worked_out
from steadyhead.study.study_file import read_study
from steadyhead.words.progress import Say, silent


def study(
    path: Path, folder: Path, *, workers: int | None = None, scheduler: str | None = None, say: Say = silent
) -> StudyAnswer:
    """Work out many machines at once, on every core or a cluster; begun again, it goes on where it was stopped.

    Raises: InputError when the study cannot be; SolveError when workers keep being killed; OSError when nothing can be
    written into `folder`.
    """
    asked = read_study(path)
    answer = answered(asked, worked_out(asked, folder, workers=workers, scheduler=scheduler, say=say))
    say("write")
    return replace(answer, written=write_study(folder, answer))
