"""A table of states already seen: open addressing over two whole numbers a state, for walks over every state."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel

Whole = NDArray[np.int64]
FREE = -1
FULL_SHARE = 0.6


class StateTable(NamedTuple):
    """States in the order in which they were found, and where each lies in the table.

    Shapes: slots (m,), the others (n,); `size` holds one number, how many there are.
    """

    slots: Whole
    first: Whole
    second: Whole
    size: Whole


def empty_table(room: int) -> StateTable:
    """Return a table that takes `room` states.

    Shapes: slots is the next power of two that is filled by less than 60 %.
    """
    size = 1 << int(np.ceil(np.log2(room / FULL_SHARE)))
    return StateTable(
        slots=np.full(size, FREE, np.int64),
        first=np.zeros(room, np.int64),
        second=np.zeros(room, np.int64),
        size=np.zeros(1, np.int64),
    )


@kernel
def place_of(table: StateTable, first: int, second: int) -> int:
    """Place of a state in the order of finding, new or not; -1 when the table is full.

    Valid: any two whole numbers below 2^62.
    Source: open addressing with linear probing, any algorithms textbook; mixing constants from memory.
    """
    first, second = int(first), int(second)
    mask = table.slots.size - 1
    mixed = (first * 0x9E3779B1 + second * 0x85EBCA77) & 0x3FFFFFFFFFFFFFFF
    mixed ^= mixed >> 29
    mixed = (mixed * 0xC2B2AE3D) & 0x3FFFFFFFFFFFFFFF
    slot = (mixed ^ (mixed >> 32)) & mask
    while table.slots[slot] != FREE:
        found = table.slots[slot]
        if table.first[found] == first and table.second[found] == second:
            return int(found)
        slot = (slot + 1) & mask
    place = table.size[0]
    if place >= table.first.size:
        return FREE
    table.slots[slot] = place
    table.first[place] = first
    table.second[place] = second
    table.size[0] = place + 1
    return int(place)
