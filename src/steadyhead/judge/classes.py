"""The governing classes of ISO 8528-5, as words for how good a figure is; they are not the limits judged against.

Source: A. King and W. Knight, Uninterruptible Power Supplies and Standby Power Systems, 2003, table 1.1, which prints
the table; the standard itself was not read. G4 is by agreement and has no number.
"""

CLASSES = ("G3", "G2", "G1")
LIMITS: dict[str, tuple[float, float, float]] = {
    "droop_percent": (3.0, 5.0, 8.0),
    "steady_band_full_percent": (0.5, 1.5, 2.5),
    "rise_percent": (10.0, 12.0, 18.0),
    "drop_percent": (7.0, 10.0, 15.0),
    "recovery_s": (3.0, 5.0, 10.0),
}
"""Quantity: the most that G3, G2 and G1 allow. A figure on the limit belongs to the class ("not more than")."""
DUST = 1e-9
"""What floating-point arithmetic leaves on a figure that lies exactly on its limit."""


def governing_class(quantity: str, figure: float) -> str | None:
    """Return the best class whose limit the figure keeps, None when it keeps none.

    Valid: quantity is a key of LIMITS; a figure on the limit keeps it.
    """
    for name, limit in zip(CLASSES, LIMITS[quantity], strict=True):
        if figure <= limit * (1.0 + DUST):
            return name
    return None


def class_words(quantity: str, figure: float) -> str:
    """Return the part of a sentence that names the class."""
    name = governing_class(quantity, figure)
    return f"class {name} of ISO 8528-5" if name else "outside the classes of ISO 8528-5"
