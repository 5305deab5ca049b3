"""A study from its file to its answer."""

from dataclasses import replace
from pathlib import Path

from steadyhead.flight.device import Device, device_of, name_of
from steadyhead.study.asked import IN_ONE_GO
from steadyhead.study.files import write_study
from steadyhead.study.questions import answered
from steadyhead.study.result import StudyAnswer
from steadyhead.study.run import worked_out
from steadyhead.study.study_file import read_study
from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent


def study(
    path: Path, folder: Path, *, workers: int | None = None, scheduler: str | None = None,
    device: str = Device.CPU, say: Say = silent,
) -> StudyAnswer:  # fmt: skip
    """Work out many machines at once, on every core or a cluster; begun again, it goes on where it was stopped.

    Raises: InputError when the study cannot be; SolveError when workers keep being killed; OSError when nothing can be
    written into `folder`.
    """
    asked = replace(read_study(path), device=device_of(device))
    if asked.device is not Device.CPU and asked.collects not in IN_ONE_GO:
        right = 'cpu, or collect = "bail_out" or "peaks": nothing else is flown on a card'
        raise InputError("--device", read=f'{device} for collect = "{asked.collects}"', right=right)
    answer = answered(asked, worked_out(asked, folder, workers=workers, scheduler=scheduler, say=say))
    answer = replace(answer, device=name_of(asked.device))
    say("write")
    return replace(answer, written=write_study(folder, answer))
