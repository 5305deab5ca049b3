"""The same kernels on a graphics card: the Python function behind each is compiled once more, for the card.

There is one source. A kernel that the card runs is the one that the processor runs, with every kernel it calls.
"""

import warnings
from collections.abc import Callable
from enum import StrEnum
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from steadyhead.physics.kernel import source_of, with_names
from steadyhead.words.errors import InputError, did_you_mean


class Device(StrEnum):
    """What flies the drawn flights."""

    CPU = "cpu"
    CUDA = "cuda"


EXTRA = "python -m pip install 'steadyhead[gpu]'"
ON = "--device cuda"


class Block(NamedTuple):
    """Threads that a card starts and ends together, and the registers that each of them may use."""

    threads: int
    registers: int


def card() -> Any:
    """Return the module that compiles for a graphics card, once there is a card to compile for.

    Raises: InputError when the extra is not installed or there is no card.
    """
    try:
        from numba import cuda as found
    except ImportError as error:
        raise InputError(ON, read="a library for graphics cards that is not installed", right=EXTRA) from error
    cuda: Any = found
    if not cuda.is_available():
        raise InputError(ON, read="no graphics card that CUDA can use", right="an NVIDIA card and its driver, or cpu")
    return cuda


def device_of(word: str) -> Device:
    """Return the device that a word means.

    Raises: InputError when it means none, or one that is not there.
    """
    if word not in tuple(Device):
        raise InputError("--device", read=word, right=did_you_mean(word, Device))
    if word != Device.CPU:
        card()
    return Device(word)


def name_of(device: Device) -> str:
    """Return what flies, as a person would say it: cpu, or the card by its maker's name.

    Raises: InputError as `card`.
    """
    if device is Device.CPU:
        return device.value
    found = getattr(card().get_current_device(), "name", "a simulated card")
    return f"{device}: {found.decode() if isinstance(found, bytes) else found}"


@cache
def for_card(kernel: Callable[..., Any]) -> Any:
    """Return a kernel as a function that other functions on the card can call; made once.

    Raises: InputError as `card`.
    """
    return card().jit(device=True)(with_names(source_of(kernel), for_card))


@cache
def entry(function: Callable[..., None], registers: int) -> Any:
    """Return a plain function as one that the card can be told to run, each thread with at most so many registers.

    It finds the card's own words (grid, local) under the name `cuda`.
    Raises: InputError as `card`.
    """
    import numba

    # The simulator that stands in for a card in tests has no registers.
    more = {} if vars(numba.config)["ENABLE_CUDASIM"] else {"max_registers": registers}
    return card().jit(**more)(with_names(function, for_card, cuda=card()))


def launched(function: Callable[..., None], block: Block, count: int, *arguments: Any) -> None:
    """Run a plain function on the card, one thread for each of so many; arrays are brought there first.

    Raises: InputError as `card`.
    """
    run = entry(function, block.registers)
    with warnings.catch_warnings():
        # A few flights leave most of the card idle; that is no fault.
        warnings.filterwarnings("ignore", message=".*Grid size")
        run[-(-count // block.threads), block.threads](*(brought(one) for one in arguments))


def brought(held: Any) -> Any:
    """Return the same tuples and numbers with every array in the memory of the card.

    Raises: InputError as `card`.
    """
    if isinstance(held, np.ndarray):
        return card().to_device(held)
    return type(held)(*(brought(one) for one in held)) if hasattr(held, "_fields") else held
