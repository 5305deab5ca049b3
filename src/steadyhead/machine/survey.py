"""What `check` answers: what was given, what is typical, what is missing, what looks implausible."""

from dataclasses import dataclass

from steadyhead.machine.description import Machine
from steadyhead.machine.plausible import remarks
from steadyhead.words.verdict import Outcome


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One quantity of the machine as it will be used."""

    key: str
    value: str
    origin: str
    note: str


@dataclass(frozen=True, kw_only=True)
class Survey:
    """A machine file, read and surveyed; the verdict is unknown while something looks implausible."""

    machine: str
    machine_revision: int
    size_class: int
    invented: bool
    given: tuple[Entry, ...]
    typical: tuple[Entry, ...]
    missing: tuple[str, ...]
    implausible: tuple[str, ...]
    verdict: Outcome


def survey(machine: Machine) -> Survey:
    """Survey every quantity of a machine."""
    entries = [
        Entry(key=key, value=str(value), origin=str(value.origin), note=value.note) for key, value in machine.values()
    ]
    typical = set(machine.typical())
    implausible = tuple(remarks(machine))
    return Survey(
        machine=machine.name,
        machine_revision=machine.revision,
        size_class=machine.size_class,
        invented=machine.invented,
        given=tuple(entry for entry in entries if entry.key not in typical),
        typical=tuple(entry for entry in entries if entry.key in typical),
        missing=machine.missing(),
        implausible=implausible,
        verdict=Outcome.UNKNOWN if implausible else Outcome.PASS,
    )
