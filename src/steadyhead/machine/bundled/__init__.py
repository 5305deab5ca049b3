"""Three invented machines that come with the package; nobody owns them and no number was measured."""

from pathlib import Path

from steadyhead.words.errors import InputError, did_you_mean

BUNDLED = ("fox600", "wren450", "heron520")


def bundled(name: str) -> Path:
    """Return the machine file of a bundled machine.

    Raises: InputError when there is none of that name.
    """
    if name not in BUNDLED:
        raise InputError("bundled machines", read=name[:40], right=did_you_mean(name, BUNDLED))
    return Path(__file__).parent / f"{name}.toml"
