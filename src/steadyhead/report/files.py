"""Files that are there whole or not at all."""

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


def write_whole(contents: Mapping[Path, bytes]) -> None:
    """Write every file under a temporary name, then rename them all: a full disk leaves the old files as they were.

    Raises: OSError when a folder cannot be made or a file cannot be written; nothing of ours is left behind.
    """
    waiting: list[tuple[Path, Path]] = []
    try:
        for path, data in contents.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            waiting.append((_laid_down(path, data), path))
        for laid, path in waiting:
            laid.replace(path)
    finally:
        for laid, _ in waiting:
            laid.unlink(missing_ok=True)


def _laid_down(path: Path, data: bytes) -> Path:
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    laid = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        laid.chmod(0o644)
    except OSError:
        laid.unlink(missing_ok=True)
        raise
    return laid
