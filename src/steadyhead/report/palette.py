"""The sheet's own colours: told apart by colour-blind eyes, and dark enough on paper to read.

Each colour stands once: the figures are drawn in the light one, and the HTML page swaps it for a
style-sheet variable, so that a page in the dark shows the same drawing in light ink.
"""

from steadyhead.words.verdict import Outcome

LIGHT: dict[str, str] = {
    "paper": "#ffffff",
    "ink": "#16202b",
    "soft": "#51606f",
    "rule": "#c7d0d9",
    "wash": "#f1f4f7",
    "blue": "#1f5fae",
    "ochre": "#9a5b00",
    "teal": "#007a70",
    "plum": "#8a3a86",
    "pass": "#11663f",
    "fail": "#b0261f",
    "unknown": "#6b5200",
    "shade-a": "#dfe9f5",
    "shade-b": "#f3ead8",
    "shade-c": "#dcefeb",
    "shade-d": "#efe1ef",
    "shade-e": "#e6e9ed",
}
DARK: dict[str, str] = {
    "paper": "#11171d",
    "ink": "#e8edf2",
    "soft": "#a3b1bf",
    "rule": "#3a4652",
    "wash": "#1a222a",
    "blue": "#7db4f5",
    "ochre": "#eab464",
    "teal": "#5fd0c2",
    "plum": "#dd9fda",
    "pass": "#6fd6a2",
    "fail": "#ff9a90",
    "unknown": "#e6c65c",
    "shade-a": "#1d2f47",
    "shade-b": "#3a2f1a",
    "shade-c": "#163833",
    "shade-d": "#3a2439",
    "shade-e": "#262f38",
}
PICTURE = "#75879a"
"""Of pictures made of dots, whose colours no style sheet can swap: to be seen on paper and in the dark."""
LINES = ("blue", "ochre", "teal", "plum", "soft", "ink")
SHADES = {
    "rest": "shade-e",
    "soft_spool": "shade-b",
    "governed": "shade-a",
    "autorotation": "shade-c",
    "quick_spool": "shade-d",
    "coast": "shade-e",
    "stopped": "shade-e",
    "unknown": "shade-e",
}


def colour(name: str) -> str:
    """Return the light colour of that name."""
    return LIGHT[name]


def outcome_colour(outcome: Outcome) -> str:
    """Return the colour of a verdict; never the only sign of it."""
    return LIGHT[outcome.value]


def line_colour(index: int) -> str:
    """Return the colour of the n-th line of a drawing."""
    return LIGHT[LINES[index % len(LINES)]]


def variables(shades: dict[str, str]) -> str:
    """Return the colours as style-sheet variables."""
    return " ".join(f"--{name}: {shade};" for name, shade in shades.items())
