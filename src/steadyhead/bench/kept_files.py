"""Files beside the record, each named after the SHA-256 of what is in it, whole or not there at all."""

import contextlib
import hashlib
import os
import re
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

ENDING = re.compile(r"[a-z0-9]{1,8}")
CHUNK_BYTES = 1 << 20


class Kept(NamedTuple):
    """A file that is kept: its SHA-256, ending without a dot, and size."""

    sha256: str
    ending: str
    bytes: int


def kept_path(folder: Path, sha256: str, ending: str) -> Path:
    """Return where a kept file lies."""
    return folder / sha256[:2] / f"{sha256}.{ending}"


def keep(folder: Path, parts: Iterable[bytes], ending: str) -> Kept:
    """Write a file under a temporary name, make sure that the disk has it, and give it the name of its content.

    Raises: OSError; nothing under a kept name is then left half-written.
    """
    make_folder(folder)
    handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
    digest, size = hashlib.sha256(), 0
    try:
        with os.fdopen(handle, "wb") as file:
            for part in parts:
                digest.update(part)
                size += len(part)
                file.write(part)
            file.flush()
            os.fsync(file.fileno())
        path = kept_path(folder, digest.hexdigest(), ending)
        make_folder(path.parent)
        os.replace(name, path)
        sync_folder(path.parent)
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(name)
    return Kept(digest.hexdigest(), ending, size)


def make_folder(folder: Path) -> None:
    """Make a folder with those above it, and make sure that the disk has every new name.

    Raises: OSError.
    """
    missing = [one for one in (folder, *folder.parents) if not one.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    for one in missing:
        sync_folder(one.parent)


def parts_of(path: Path) -> Iterator[bytes]:
    """Yield a file in parts."""
    with path.open("rb") as file:
        while part := file.read(CHUNK_BYTES):
            yield part


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file."""
    digest = hashlib.sha256()
    for part in parts_of(path):
        digest.update(part)
    return digest.hexdigest()


def copy_missing(source: Path, target: Path) -> int:
    """Copy the kept files that the target folder lacks, and return how many."""
    copied = 0
    for path in sorted(source.glob("??/*")):
        if path.suffix != ".part" and not (target / path.parent.name / path.name).exists():
            keep(target, parts_of(path), path.suffix.lstrip("."))
            copied += 1
    return copied


def orphans(folder: Path, known: set[str]) -> list[Path]:
    """Return files in the folder that no row names: what a kill left behind."""
    return [path for path in sorted(folder.rglob("*")) if path.is_file() and path.stem not in known]


def sync_folder(folder: Path) -> None:
    """Make sure that the disk has the new name; Windows needs and allows no such thing."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
