"""What is confirmed before anything can turn: in every run, after every pause and after every change. Never remembered.

Common practice, no source.
"""

from steadyhead.bench.step import Entry, Step
from steadyhead.words.cautions import ADVICE_ONLY, BENCH, PACK

LASTS_S = 1800.0
"""A confirmation is asked for again when nothing happened for so long. Common practice, no source."""


def _confirmation(name: str, title: str, action: tuple[str, ...], asks: str) -> Step:
    return Step(
        step=name,
        part="safety",
        title=title,
        action=action,
        switch="",
        asks=asks,
        entry=Entry.YES,
        spins=False,
        expected_word="yes",
    )


CAUTIONS = _confirmation(
    "cautions", "Cautions", (*BENCH, *PACK, *ADVICE_ONLY), "Have you read them, and will you keep to them?"
)
BLADES_OFF = _confirmation(
    "blades_off",
    "Blades off",
    ("Take off the main blades and the tail blades.",),
    "Are all main and tail blades off?",
)
HELD_DOWN = _confirmation(
    "held_down",
    "Held down, clear of the gears",
    (
        "Fix the machine so that it cannot turn or tip.",
        "Take hands, hair, sleeves, leads and loose parts away from gears and head.",
    ),
    "Is it held down, and is everybody clear?",
)
HOLD_ON = _confirmation(
    "hold_on",
    "Throttle hold on",
    (
        "If the pack is still connected from before, put throttle hold on and disconnect it.",
        "Put throttle hold on, before the pack is connected.",
        "Put the flight mode switch to the slowest mode.",
    ),
    "Is throttle hold on, and the pack not yet connected?",
)
SAFETY = (CAUTIONS, BLADES_OFF, HELD_DOWN, HOLD_ON)
