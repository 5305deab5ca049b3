"""What the pages share: the record, the workers, and the answers that were worked out for a machine not long ago."""

import secrets
from collections import OrderedDict
from pathlib import Path
from typing import Any

from steadyhead import job
from steadyhead.bench.record import Record, Revision
from steadyhead.machine.description import Machine
from steadyhead.web.work import Task, Workshop

_REMEMBERED = 48
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
        self._names: dict[Path, str] = {}

    def newest(self, name: str) -> tuple[Revision, Machine]:
        """Return the newest revision of a machine.

        Raises: InputError when no machine of that name is kept.
        """
        revision = job.shelf.newest_revision(self.record, name)
        return revision, job.record.kept_machine(self.record, revision.id)

    def asked(self, kind: Kind) -> Task | None:
        """Return the task that answers this, running or ended, or None when nobody asked."""
        number = self._tasks.get(kind)
        task = None if number is None else self.workshop.task(number)
        if task is None:
            self._tasks.pop(kind, None)
        return task

    def ask(self, kind: Kind, title: str, function: str, *given: Any, **named: Any) -> Task:
        """Begin to answer this in a worker, and remember it for whoever asks the same again."""
        task = self.workshop.begin(title, function, *given, **named)
        self._tasks[kind] = task.number
        self._tasks.move_to_end(kind)
        while len(self._tasks) > _REMEMBERED:
            self._tasks.popitem(last=False)
        return task

    def place_for(self, name: str) -> Path:
        """Return a place of our own choice for an upload; of the name it came with only the endings are kept."""
        endings = "".join(e for e in Path(name).suffixes[-2:] if e[1:].isascii() and e[1:].isalnum())[:16]
        path = self.uploads.joinpath(f"{secrets.token_hex(8)}{endings}")
        self._names[path] = Path(name).name[:80]
        return path

    def shown_name(self, path: Path) -> str:
        """Return the name that an upload came with."""
        return self._names.get(path, path.name)

    def close(self) -> None:
        """End the workers and let go of the record."""
        self.workshop.close()
        self.record.close()
