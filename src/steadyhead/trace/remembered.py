"""Remembering what a person said of the columns of one layout, in a small file in the user's configuration folder."""

import contextlib
import json
import os
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from steadyhead.words.errors import InputError, in_short

_FILE = "columns.json"
_SEEN = "said of"
"""Beside the layouts the file says, for each, of which log it was said, so that a person knows it again."""
_MOST_HEADINGS = 6


def recalled(layout_digest: str) -> dict[str, str]:
    """Return what was said of a layout, or nothing; a file that cannot be read remembers nothing."""
    said = _all().get(layout_digest)
    if not isinstance(said, dict):
        return {}
    return {str(heading): str(meaning) for heading, meaning in said.items()}


def everything() -> dict[str, dict[str, str]]:
    """Return what was said of every layout, by the digest of the layout."""
    return {layout: recalled(layout) for layout in _all() if layout != _SEEN and recalled(layout)}


def unreadable() -> str:
    """Return a sentence where there is a memory that cannot be read; empty where it can, or there is none."""
    try:
        known = json.loads(memory_file().read_text("utf-8"))
    except FileNotFoundError:
        return ""
    except (OSError, ValueError, RuntimeError, RecursionError) as error:
        return f"{memory_file()} cannot be read ({in_short(error)}): {_LOST}"
    return "" if isinstance(known, dict) else f"{memory_file()} holds no layouts of logs: {_LOST}"


_LOST = "what you said of columns before is not used"


def memory_file() -> Path:
    """Return the file in which it is kept, whether or not it is there."""
    return config_folder() / _FILE


def remember(
    layout_digest: str, mapping: Mapping[str, str], log: str = "", headings: Sequence[str] = ()
) -> tuple[str, ...]:
    """Keep what was said of a layout; return a sentence about it. A folder that cannot be written is no error.

    `log` and `headings` are those of the log that it was said of.
    """
    known = _all()
    more = f" and {len(headings) - _MOST_HEADINGS} more" if len(headings) > _MOST_HEADINGS else ""
    seen = _seen(known) | {layout_digest: f"{log}: {', '.join(headings[:_MOST_HEADINGS])}{more}"}
    try:
        _write(known | {layout_digest: dict(mapping), _SEEN: seen})
    except OSError as error:
        return (f"columns not remembered: {error}",)
    return (f"columns remembered for files of this layout in {memory_file()}",)


def forget(layout: str) -> tuple[str, ...]:
    """Forget one layout, by the first letters of its digest, or `all`; return the digests that were forgotten.

    Raises: InputError when no layout, or more than one, begins so.
    """
    known = everything()
    if not layout.strip():
        right = f"all, or the first letters of one of: {', '.join(known) or 'nothing is remembered'}"
        raise InputError("--forget", read="no letter", right=right)
    found = tuple(known) if layout == "all" else tuple(digest for digest in known if digest.startswith(layout))
    if layout != "all" and len(found) != 1:
        read = f"layout {layout!r}, which {len(found)} layouts begin with"
        raise InputError("--forget", read=read, right=f"all, or one of: {', '.join(known) or 'nothing is remembered'}")
    kept = {digest: said for digest, said in _all().items() if digest not in found}
    seen = {digest: said for digest, said in _seen(kept).items() if digest not in found}
    _write(kept | {_SEEN: seen})
    return found


def _seen(known: Mapping[str, object]) -> dict[str, str]:
    seen = known.get(_SEEN)
    return {str(layout): str(said) for layout, said in seen.items()} if isinstance(seen, dict) else {}


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
    said_of: dict[str, str]
    """By layout: the log that it was last said of, and its first headings."""
    warnings: tuple[str, ...] = ()


def columns_kept(forgotten: tuple[str, ...] = ()) -> RememberedColumns:
    """Return what is remembered now."""
    known = everything()
    return RememberedColumns(
        file=memory_file(),
        layouts=known,
        forgotten=forgotten,
        said_of={layout: said for layout, said in _seen(_all()).items() if layout in known},
        warnings=(broken,) if (broken := unreadable()) else (),
    )


def remembered_columns(forgetting: str | None = None) -> RememberedColumns:
    """Say what is remembered of the columns of logs; forget one layout first, or all."""
    return columns_kept(forget(forgetting) if forgetting is not None else ())
