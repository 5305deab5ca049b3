"""The cautions, in one place: every output that leads to a spinning rotor or a loaded pack shows them.

Common practice, no source; the order of stop functions follows IEC 60204-1 in spirit, not in text.
"""

BENCH = (
    "Main and tail blades off for every bench test with a live motor.",
    "Hold the machine down. Keep hands, hair, sleeves and loose parts clear of the gears.",
    "Throttle hold on before the pack is connected. Connect the pack last, disconnect it first.",
)
FLIGHT = (
    "First flights with blades: alone, at a distance, with eye protection, spectators behind the pilot.",
    "Practise an autorotation from a height that leaves room to be wrong, with a helper or an instructor.",
)
DESCENT = (
    "Every height, sink rate and reserve here is an estimate with its uncertainty, never a permission to try it.",
    "Learn autorotation with an instructor. Begin much higher than any figure here, with the motor ready to come back.",
    "A bail-out height is no height that is enough: practise higher, and stop while there is room to be wrong.",
    "The rules of the flying site and the makers' manuals come before every figure here.",
)
LIVE_MOTOR = (
    "The motor can start in this step: blades off, everybody clear, a finger on throttle hold. "
    "Where the pack is not connected yet: hold on, then connect it last."
)
"""Stands first in every step of the bench with a live motor."""
WHEN_DONE = "Throttle hold on; disconnect the pack first, before anything is touched."
"""Stands where a bench run ends."""
PACK = ("Lithium packs: charge attended, in a fire-safe place, never damaged and never cold.",)
ADVICE_ONLY = (
    "The makers' manuals, the flying-site rules and the national rules for model aircraft come first.",
    "This tool advises, it does not certify. A figure is an estimate with its uncertainty, never a permission.",
)
ALL = BENCH + FLIGHT + PACK + ADVICE_ONLY
