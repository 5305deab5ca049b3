"""Where in a recording the motor falls silent while the blades are still heard: it may be off, and the head falls."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.sound_lines import BLADES, FAMILIES
from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.sound_tracker import Floats

FAMILY_HEARD = 0.3
"""Evidence of a frame, natural units, from which a family of lines counts as heard in it."""
OF_MOTOR = tuple(FAMILIES.index(name) for name in ("gear mesh", "motor electrical", "motor shaft"))
"""Families on the motor's side of the one-way bearing; a second mesh may turn with the head."""
OF_BLADES = tuple(FAMILIES.index(name) for name in BLADES)
OF_DRIVE = tuple(FAMILIES.index(name) for name in ("gear mesh", "second gear mesh", "motor electrical"))
"""Families that no blades and no other source with a few tones in a ratio make; a shaft's own turns are such tones."""
AROUND_S = 0.5
SILENT_SHARE, SOUNDING_SHARE = 0.2, 0.8
"""Of the frames within half a second, so few and so many tell that a side is silent or sounds; own choice."""


def motor_silent(heard: Floats, claimed: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the claimed frames in which blades sound and the motor, heard elsewhere in the recording, does not.

    Valid: none where the motor is drowned all along: then its silence tells nothing.
    Shapes: heard (n, f), claimed (n,) -> (n,)
    """
    motor = _share_around(heard[:, OF_MOTOR].max(axis=1) > FAMILY_HEARD, claimed)
    blades = _share_around(heard[:, OF_BLADES].max(axis=1) > FAMILY_HEARD, claimed)
    sounds = claimed & (motor > SOUNDING_SHARE)
    if sounds.sum() * HOP_S < 2.0 * AROUND_S:
        return np.zeros(claimed.size, bool)
    return np.asarray(claimed & (motor < SILENT_SHARE) & (blades > SOUNDING_SHARE))


def _share_around(there: NDArray[np.bool_], claimed: NDArray[np.bool_]) -> Floats:
    """Return in which share of the claimed frames about each one something is heard. Shapes: (n,), (n,) -> (n,)."""
    reach = round(AROUND_S / HOP_S)
    around = np.ones(2 * reach + 1)
    counts = np.convolve(claimed * 1.0, around)[reach : reach + claimed.size]
    return np.asarray(
        np.convolve((there & claimed) * 1.0, around)[reach : reach + claimed.size] / np.maximum(counts, 1.0)
    )
