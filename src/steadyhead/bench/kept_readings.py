"""Readings that were typed outside a bench run: kept only where they fit the others, left out where they are wrong.

The others are all that count today: of the machine file, typed, of the last bench run, of the logs that are evidence.
"""

from collections.abc import Iterable

from steadyhead.bench.law_evidence import law_evidence
from steadyhead.bench.record import (
    KeptReading,
    Record,
    Revision,
    add_reading,
    kept_machine,
    note_reading,
    readings_kept,
)
from steadyhead.channel.machine_setting import machine_readings
from steadyhead.channel.reading_set import checked, reading_set
from steadyhead.channel.result import Reading
from steadyhead.words.errors import InputError

LEAVE_ONE_OUT = "or leave the wrong one of those that are kept out; one of a bench run is repeated there"


def keep_reading(record: Record, revision: Revision, reading: Reading) -> str:
    """Keep a reading, unless it contradicts one of the machine file or one that is kept.

    Raises: InputError naming the reading that it contradicts; nothing is kept then.
    """
    checked(reading)
    _fits(reading, _others(record, revision))
    return add_reading(record, revision, reading)


def kept(record: Record, machine: str) -> tuple[KeptReading, ...]:
    """Return every reading of a machine that was kept outside a bench run, oldest first."""
    return readings_kept(record, machine)


def leave_out(record: Record, revision: Revision, key: str, *, out: bool) -> None:
    """Note that a kept reading is left out, or taken in again; nothing is taken out of the record.

    Raises: InputError when no such reading is kept, or when it is taken in and contradicts another one.
    """
    found = next((one for one in readings_kept(record, revision.machine) if one.id == key), None)
    if found is None:
        raise InputError(str(record.path), read=f"no reading {key[:12]}", right="one that is kept")
    if not out and key not in law_evidence(record, kept_machine(record, revision.id)).void_typed:
        _fits(found.reading, _others(record, revision, key))
    note_reading(record, key, out=out)


def _others(record: Record, revision: Revision, key: str = "") -> tuple[Reading, ...]:
    """Return what a reading has to fit: the readings of the file, and those that are kept and count."""
    machine = kept_machine(record, revision.id)
    law = law_evidence(record, machine, without=key)
    gone = {one.reading for one in law.void}
    return (*(one for one in machine_readings(machine) if one not in gone), *law.readings)


def _fits(reading: Reading, others: Iterable[Reading]) -> None:
    for other in others:
        try:
            reading_set((other, reading))
        except InputError as error:
            right = f"{error.right}; {LEAVE_ONE_OUT}"
            raise InputError("a reading", read=f"{error.read}. Nothing was kept", right=right) from error
