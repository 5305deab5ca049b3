"""Remembering what a person said of the columns of one layout, in a small file in the user's configuration folder."""

import contextlib
import json
import os
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from steadyhead.words.errors import InputError

_FILE = "columns.json"


def recalled(layout_digest: str) -> dict[str, str]:
    """Return what was said of a layout, or nothing; a file that cannot be read remembers nothing."""
    said = _all().get(layout_digest)
    if not isinstance(said, dict):
        return {}
    return {str(heading): str(meaning) for heading, meaning in said.items()}


def everything() -> dict[str, dict[str, str]]:
    """Return what was said of every layout, by the digest of the layout."""
    return {layout: recalled(layout) for layout in _all() if recalled(layout)}


def memory_file() -> Path:
    """Return the file in which it is kept, whether or not it is there."""
    return config_folder() / _FILE


def remember(layout_digest: str, mapping: Mapping[str, str]) -> tuple[str, ...]:
    """Keep what was said of a layout; return a sentence about it. A folder that cannot be written is no error."""
    try:
        _write(_all() | {layout_digest: dict(mapping)})
    except OSError as error:
        return (f"columns not remembered: {error}",)
    return (f"columns remembered for files of this layout in {memory_file()}",)


def forget(layout: str) -> tuple[str, ...]:
    """Forget one layout, by the first letters of its digest, or `all`; return the digests that were forgotten.

    Raises: InputError when no layout, or more than one, begins so.
    """
    known = everything()
    found = tuple(known) if layout == "all" else tuple(digest for digest in known if digest.startswith(layout))
    if layout != "all" and len(found) != 1:
        read = f"layout {layout!r}, which {len(found)} layouts begin with"
        raise InputError("--forget", read=read, right=f"all, or one of: {', '.join(known) or 'nothing is remembered'}")
    _write({digest: said for digest, said in _all().items() if digest not in found})
    return found


def _write(said: Mapping[str, object]) -> None:
    folder = config_folder()
    folder.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=folder, prefix=_FILE, suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(said, file, indent=1, ensure_ascii=False)
        os.replace(temporary, memory_file())
    except OSError:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise


def config_folder() -> Path:
    """Return the folder of this program's settings: XDG_CONFIG_HOME, or the system's own place."""
    if os.environ.get("XDG_CONFIG_HOME"):
        return Path(os.environ["XDG_CONFIG_HOME"]) / "steadyhead"
    if sys.platform == "win32" and os.environ.get("APPDATA"):
        return Path(os.environ["APPDATA"]) / "steadyhead"
    return Path.home() / ".config" / "steadyhead"


def _all() -> dict[str, object]:
    try:
        known = json.loads(memory_file().read_text("utf-8"))
    except (OSError, ValueError, RuntimeError, RecursionError):
        return {}
    return known if isinstance(known, dict) else {}


@dataclass(frozen=True, kw_only=True)
class RememberedColumns:
    """What was said of the columns of each layout of logs, and where that is kept."""

    file: Path
    layouts: dict[str, dict[str, str]]
    """By layout: heading and what it means."""
    forgotten: tuple[str, ...]


def columns_kept(forgotten: tuple[str, ...] = ()) -> RememberedColumns:
    """Return what is remembered now."""
    return RememberedColumns(file=memory_file(), layouts=everything(), forgotten=forgotten)
