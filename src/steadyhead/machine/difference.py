"""What differs between two revisions of a machine."""

from collections.abc import Iterator
from dataclasses import dataclass

from steadyhead.machine.description import Machine


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One key that reads otherwise; an empty text says that the key is not there or not known."""

    key: str
    before: str
    after: str
    known_better: bool = False
    """Whether it is the same part, known more closely: nothing is void by it."""


def differences(before: Machine, after: Machine) -> tuple[Difference, ...]:
    """Return every key that differs, in the order of the machine file."""
    old, new = dict(_said(before)), dict(_said(after))
    keys = (*new, *(key for key in old if key not in new))
    return tuple(
        Difference(key=key, before=old.get(key, ""), after=new.get(key, ""))
        for key in keys
        if old.get(key, "") != new.get(key, "")
    )


def _said(machine: Machine) -> Iterator[tuple[str, str]]:
    for prefix, table in machine.tables():
        for name in table.declared():
            held = getattr(table, name)
            value = table.value(name)
            if value is not None:
                yield f"{prefix}.{name}", str(value)
            elif held is not None:
                yield f"{prefix}.{name}", str(held)
