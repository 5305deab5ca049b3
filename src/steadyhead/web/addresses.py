"""Where the pages lie."""

from urllib.parse import quote


def page_of(machine: str, stage: str) -> str:
    """Return the address of one stage of a machine."""
    return f"/m/{quote(machine, safe='')}/{stage}"
