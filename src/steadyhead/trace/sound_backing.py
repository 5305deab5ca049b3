"""How sure it is that a speed is the machine's: enough families of lines, and more for it than speaks against it."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.sound_lines import BLADES, FAMILIES

Floats = NDArray[np.float64]

SECOND_FAMILY_NEEDS = 8.0
SECOND_FAMILY_NEEDS_NEAR = 0.5
NEAR_FRAMES = 3
SERIES_EVERY = 4
"""Every so many frames it is asked whether one plain series explains what is heard, and what speaks against it."""
SLOW_SHARE = 0.3
"""Below this share of the highest speed the lines crowd into the range of voices, and more evidence is asked for."""
OUTWEIGHS = 14.0
STRAYS_POWER = 0.45
RIVAL_POWER = 1.5
"""How much it counts that another speed explains the same instants as well."""
OVER_FROM, OVER_REACH, OVER_WEIGHT = 0.65, 0.2, 9.0
"""A speed sounds all its lines; where a higher one explains so much, every second or third is all there is, and then
the higher one it may be. Of 24,280 frames claimed rightly on invented recordings less than 2 % lay above, of those
claimed at a half most; a lower bound would lose slow parts of spool-ups, whose lines are few. Own choices."""
BETTER_POWER = 6.0
"""One that explains more than the speed itself counts all the more. Own choice."""
NO_STRAYS = 0.3
BLADES_MISSING = 3.0
FORGIVEN_STRAYS = 2
"""A drive has gears that the machine file does not tell, as those of the tail, with a multiple or two each."""
STEEPNESS = 4.0
"""The rest was chosen on 612 invented recordings, what outweighs and the power of rivals on 612 others: other sources
alone, a rotor beside them, a rotor in noise."""


def backing(
    old: Floats, apart: Floats, slow_ratio: Floats, behind: Floats, ahead: int, families_needed: int
) -> Floats:  # fmt: skip
    """Return how sure it is that enough families of lines are heard about each frame, by one source.

    First in the face of all other speeds, then as if none of 1.5, 2 or 3 times the speed spoke.

    Equation: 1 / (1 + exp(-x)), x the least of three: (f - 8 s) / 2, f the evidence of the weakest family that must be
    heard, summed over the look ahead and as far back; 2 (f - 0.5) over the nearest frames alone, so that one family of
    another source cannot borrow from its neighbours in time; 4 ln(r / a), as `weighed` says. s, what slow speeds need
    more, grows as speed squared falls below SLOW_SHARE.
    Valid: `old` and `apart` hold families, then what missing lines speak against, then each stray, as the tracker does.
    Shapes: old (m, f + 1 + o), apart (n, f + 1 + o), slow_ratio (n,), highest speed over that of the frame,
    behind (n, 2), as `behind_rivals` returns it -> (2, n)
    Source: choices of ours.
    """
    families, slow = len(FAMILIES), np.maximum(1.0, SLOW_SHARE * slow_ratio) ** 2
    found = np.concatenate((old, apart))
    around = summed(found, old.shape[0], ahead)
    near = summed(np.ascontiguousarray(found[:, : families + 2]), old.shape[0], NEAR_FRAMES)
    long = np.sort(around[:, :families], axis=1)[:, -families_needed] - SECOND_FAMILY_NEEDS * slow
    short = np.sort(near[:, :families], axis=1)[:, -families_needed] - SECOND_FAMILY_NEEDS_NEAR
    held = weighed(around, slow, behind, families_needed)
    held = np.stack((held, held + STEEPNESS * np.log(opposed(behind[:, 1]))))
    least = np.minimum(np.minimum(0.5 * long, 2.0 * short), held)
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(-least, -50.0, 50.0))))


def weighed(around: Floats, slow: Floats, behind: Floats, families_needed: int) -> Floats:
    """Return what speaks for a speed held against what speaks against it, natural units; 0 where they are even.

    Equation: 4 ln(r / a), a = 14 s sqrt(4 + d m + (1 - d) 3) (0.3 + t / 4)^0.45 b^1.5 h; r is the evidence of all
    families but the strongest, d the share of the drive in it, 1 where the strongest is of the drive, m what missing
    lines of the drive speak against, t the evidence of tones at multiples of the motor's turns at which the machine
    sounds none, b what the best other speeds explain, as a share of what this one does, h = 1 + 9 min(1, max(0, (o -
    0.65) / 0.2)) max(1, o)^6, o the share that the best of 1.5, 2 and 3 times this speed explains, or 0.8 of what
    such a part of it does.
    Valid: blades that are heard alone may drown the drive, so then its missing lines say nothing.
    Shapes: around (n, f + 2), as `summed` returns it, slow (n,), behind (n, 2), as `behind_rivals` returns it -> (n,)
    Source: choices of ours.
    """
    families = len(FAMILIES)
    rest = np.maximum(around[:, :families], 0.0)
    drive_leads = rest.argmax(axis=1) >= len(BLADES)
    for _ in range(families_needed - 1):
        rest[np.arange(rest.shape[0]), rest.argmax(axis=1)] = 0.0
    backed = rest.sum(axis=1)
    drive = rest[:, len(BLADES) :].sum(axis=1) / np.maximum(backed, 1e-6)
    drive = np.where(drive_leads, 1.0, drive)
    missing = drive * around[:, families] + (1.0 - drive) * BLADES_MISSING
    strays = around[:, families + 1]
    against = slow * np.sqrt(SERIES_EVERY + missing) * (NO_STRAYS + strays / SERIES_EVERY) ** STRAYS_POWER
    rival, higher = behind.T
    against *= rival**RIVAL_POWER * opposed(higher)
    return np.asarray(STEEPNESS * np.log((backed + 1e-3) / (OUTWEIGHS * against)))


def opposed(higher: Floats) -> Floats:
    """Return by how much more must speak for a speed, a factor: h of `weighed`. Shapes: (n,) -> (n,)."""
    over = 1.0 + OVER_WEIGHT * np.clip((higher - OVER_FROM) / OVER_REACH, 0.0, 1.0)
    return np.asarray(over * np.maximum(1.0, higher) ** BETTER_POWER)


def behind_rivals(old: Floats, found: Floats, reach: int) -> Floats:
    """Return what the best other speeds explain about each frame, as a share of what the speeds that are told do.

    First all others, then those that are 1.5, 2 or 3 times as high alone.
    Shapes: old (m, 4), found (n, 4), as `rivals` finds them -> (n, 2)
    """
    sums = np.concatenate((np.zeros((1, 3)), np.cumsum(np.concatenate((old, found))[:, :3], axis=0)))
    at = old.shape[0] + np.arange(found.shape[0])
    around = sums[np.minimum(at + reach + 1, sums.shape[0] - 1)] - sums[np.maximum(at - reach, 0)]
    return np.asarray(around[:, 1:] / around[:, :1])


def summed(found: Floats, first: int, reach: int) -> Floats:
    """Return what was found from a frame on, summed over so many frames either way.

    All strays are one sum, without the strongest two.
    Shapes: found (m, f + 1 + o) -> (m - first, f + 2)
    """
    from steadyhead.physics.sound_against import summed_around

    out = np.zeros((found.shape[0] - first, len(FAMILIES) + 2))
    summed_around(found, first, reach, FORGIVEN_STRAYS, out)
    return out
