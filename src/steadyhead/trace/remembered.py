"""Remembering what a person said of the columns of one layout, in a small file in the user's configuration folder."""

import contextlib
import json
import os
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

_FILE = "columns.json"


def recalled(layout_digest: str) -> dict[str, str]:
    """Return what was said of a layout, or nothing; a file that cannot be read remembers nothing."""
    said = _all().get(layout_digest)
    if not isinstance(said, dict):
        return {}
    return {str(heading): str(meaning) for heading, meaning in said.items()}


def remember(layout_digest: str, mapping: Mapping[str, str]) -> tuple[str, ...]:
    """Keep what was said of a layout; return a sentence about it. A folder that cannot be written is no error."""
    everything = _all() | {layout_digest: dict(mapping)}
    folder = config_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=folder, prefix=_FILE, suffix=".part")
    except OSError as error:
        return (f"columns not remembered: {error}",)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(everything, file, indent=1, ensure_ascii=False)
        os.replace(temporary, folder / _FILE)
    except OSError as error:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        return (f"columns not remembered: {error}",)
    return (f"columns remembered for files of this layout in {folder / _FILE}",)


def config_folder() -> Path:
    """Return the folder of this program's settings: XDG_CONFIG_HOME, or the system's own place."""
    if os.environ.get("XDG_CONFIG_HOME"):
        return Path(os.environ["XDG_CONFIG_HOME"]) / "steadyhead"
    if sys.platform == "win32" and os.environ.get("APPDATA"):
        return Path(os.environ["APPDATA"]) / "steadyhead"
    return Path.home() / ".config" / "steadyhead"


def _all() -> dict[str, object]:
    try:
        known = json.loads((config_folder() / _FILE).read_text("utf-8"))
    except (OSError, ValueError, RuntimeError, RecursionError):
        return {}
    return known if isinstance(known, dict) else {}
