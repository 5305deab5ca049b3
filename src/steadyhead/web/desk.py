"""What the pages share: the record, the workers, and the answers that were worked out for a machine not long ago."""

import os
import re
import secrets
import shutil
from collections import OrderedDict
from pathlib import Path
from typing import Any

from steadyhead import job
from steadyhead.bench.record import Record, Revision
from steadyhead.bench.shelf import KeptFile
from steadyhead.machine.description import Machine
from steadyhead.web.work import Task, Workshop

_REMEMBERED = 48
_NO_NAME = re.compile(r"[^\w. +()-]")
_FOLDER = re.compile(r"\b[0-9a-f]{16}/")
OPTION = "--column "
Kind = tuple[str, str, tuple[str, ...]]
"""Revision, what was asked, and the words it was asked with."""


class Desk:
    """One server's desk. The record keeps what matters; what is remembered here can be worked out again."""

    def __init__(self, record: Record, workshop: Workshop, uploads: Path, *, shared: bool = False) -> None:
        self.record = record
        self.workshop = workshop
        self.uploads = uploads
        self.shared = shared
        self._tasks: OrderedDict[Kind, int] = OrderedDict()

    def newest(self, name: str) -> tuple[Revision, Machine]:
        """Return the newest revision of a machine.

        Raises: InputError when no machine of that name is kept.
        """
        revision = job.shelf.newest_revision(self.record, name)
        return revision, job.record.kept_machine(self.record, revision.id)

    def is_newest(self, revision: Revision) -> bool:
        """Return whether a text is still the newest that is kept of its machine."""
        return job.shelf.newest_key(self.record, revision.machine) == revision.id

    def asked(self, kind: Kind) -> Task | None:
        """Return the task that answers this, running or ended, or None when nobody asked."""
        number = self._tasks.get(kind)
        task = None if number is None else self.workshop.task(number)
        if task is None:
            self._tasks.pop(kind, None)
        return task

    def going_on(self, revision: str, what: str) -> tuple[Kind, ...]:
        """Return what was asked last of a revision: what still waits or runs, or else the one that ended last."""
        kinds = [kind for kind in reversed(self._tasks) if kind[:2] == (revision, what)]
        known = [(kind, task) for kind in kinds if (task := self.asked(kind)) is not None]
        return tuple(kind for kind, task in known if not task.ended()) or tuple(kind for kind, _ in known[:1])

    def ask(self, kind: Kind, title: str, function: str, *given: Any, **named: Any) -> Task:
        """Begin to answer this in a worker, and remember it for whoever asks the same again."""
        task = self.workshop.begin(title, function, *given, **named)
        self._tasks[kind] = task.number
        self._tasks.move_to_end(kind)
        while len(self._tasks) > _REMEMBERED:
            self._tasks.popitem(last=False)
        return task

    def ask_again(self, kind: Kind) -> Task:
        """Begin anew what was asked last under this kind.

        Raises: KeyError when nobody asked.
        """
        last = self.workshop.task(self._tasks[kind])
        if last is None:
            raise KeyError(kind)
        function, given, named = last.call
        return self.ask(kind, last.title, function, *given, on_done=last.on_done, **named)

    def place_for(self, name: str) -> Path:
        """Return a place for an upload in a new folder of our own choice, under a name that leads nowhere else."""
        folder = self.uploads.joinpath(secrets.token_hex(8))
        folder.mkdir()
        return folder.joinpath(self.tame(name))

    def tame(self, name: str) -> str:
        """Return the name of a file without anything that could lead elsewhere."""
        return _NO_NAME.sub("_", Path(name.replace("\\", "/")).name)[-80:].lstrip(".") or "upload"

    def log_file(self, log: KeptFile) -> Path:
        """Return a log that is kept under its own name, so that answers call it so."""
        path = self.uploads.joinpath(log.id[:16], self.tame(log.name))
        if not path.exists():
            path.parent.mkdir(exist_ok=True)
            kept = job.record.log_path(self.record, log.id)
            try:
                os.link(kept, path)
            except OSError:
                shutil.copyfile(kept, path)
        return path

    def under_its_name(self, text: str) -> str:
        """Return a text about an upload without the folder that it was laid into."""
        return _FOLDER.sub("", text.replace(f"{self.uploads}/", ""))

    def in_words(self, sentence: str) -> str:
        """Return a sentence for a reader: uploads under their names, and no option that only a command line takes.

        What a column is to be called stays, as the field of the page Logs takes it.
        """
        return self.under_its_name(sentence).replace(OPTION, "")

    def file_of(self, revision: Revision) -> Path:
        """Return a machine file as it was kept, laid out under its own name."""
        path = self.uploads.joinpath(revision.id[:16], Path(revision.file_name).name or "machine.toml")
        path.parent.mkdir(exist_ok=True)
        path.write_text(job.shelf.kept_text(self.record, revision.id), "utf-8")
        return path

    def close(self) -> None:
        """End the workers and let go of the record."""
        self.workshop.close()
        self.record.close()
