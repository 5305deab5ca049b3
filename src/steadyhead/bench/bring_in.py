"""An archive brought into a record by its name: a record is made only for an archive that it takes."""

import shutil
from pathlib import Path

from steadyhead.bench.archive import Imported, import_, refuse_unfit
from steadyhead.bench.care import contents
from steadyhead.bench.home import files_folder, record_path
from steadyhead.bench.record import open_record
from steadyhead.words.errors import InputError

BESIDE = ("", "-wal", "-shm")
"""Endings of the files that SQLite makes for one record."""


def bring_in(archive: Path, record: Path | None = None) -> Imported:
    """Bring an archive into the record of a name, all of it or nothing; a record that was not there is made for it.

    Raises: InputError when the archive cannot be taken; then no record is left that was not there before.
    """
    where = record_path(record)
    if where.exists():
        with open_record(where) as opened:
            return import_(opened, archive)
    refuse_unfit(archive)
    had_files = files_folder(where).exists()
    try:
        with open_record(where) as opened:
            return import_(opened, archive)
    except InputError:
        _take_back(where, had_files=had_files)
        raise


def _take_back(where: Path, *, had_files: bool) -> None:
    """Take a record away that was made for an archive which then was refused, unless something is kept in it.

    `had_files`: its folder of kept files was there before, and stays.
    """
    if not where.exists():
        return
    with open_record(where) as opened:
        if any(contents(opened).rows.values()):
            return
    for ending in BESIDE:
        where.with_name(f"{where.name}{ending}").unlink(missing_ok=True)
    if not had_files:
        shutil.rmtree(files_folder(where), ignore_errors=True)
