"""Opening a log: is it there, is it a file, what is in it by its first bytes, and how large may it grow."""

import mmap
import stat
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from steadyhead.words.errors import InputError

MIB = 1 << 20
FILE_LIMIT = 1024 * MIB
MAPPED_FROM = 4 * MIB
UNPACKED_LIMIT = 256 * MIB
GROWTH_LIMIT = 200
"""A log packs 3- to 30-fold; a file that unpacks to more than this many times its size is no log."""
GROWTH_FROM = 16 * MIB
"""Below this a packed file may grow as it likes: it does no harm."""
_CHUNK = 1 << 18


@dataclass(frozen=True, kw_only=True)
class Content:
    """The bytes of a log, unpacked, with the name of its file; those of a large file are mapped, not copied."""

    name: str
    data: bytes | mmap.mmap

    def whole(self) -> bytes:
        """Return all bytes as one object, copied if they were mapped."""
        return self.data if isinstance(self.data, bytes) else self.data[:]


def content_of(path: Path) -> Content:
    """Return the bytes of a file, unpacked when they are gzip.

    Raises: InputError when there is no such file, it is no plain file, it cannot be read, it is empty or too large.
    """
    data = _bytes_of(path)
    if len(data) == 0:
        raise InputError(path.name, read="an empty file (0 bytes)", right="a log with headings and rows")
    if data[:2] == b"\x1f\x8b":
        unpacked = _unpacked(path.name, data[:])
        if not unpacked:
            raise InputError(path.name, read="a gzip file with nothing in it", right="a log with headings and rows")
        if unpacked[:2] == b"\x1f\x8b":
            raise InputError(path.name, read="a gzip file within a gzip file", right="a log packed once, or not at all")
        return Content(name=path.name, data=unpacked)
    return Content(name=path.name, data=data)


def _bytes_of(path: Path) -> bytes | mmap.mmap:
    right = "the path of a log file"
    with readable(path, right):
        size = plain_size(path, right)
        if size > FILE_LIMIT:
            raise InputError(
                str(path), read=f"{size / MIB:.0f} MiB", right=f"at most {FILE_LIMIT // MIB} MiB (the size limit)"
            )
        if size < MAPPED_FROM:
            return path.read_bytes()
        with path.open("rb") as file:
            return mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)


def plain_size(path: Path, right: str) -> int:
    """Return the size of a plain file, bytes.

    Raises: InputError when it is a folder, a pipe or a device.
    """
    about = path.stat()
    if stat.S_ISDIR(about.st_mode):
        raise InputError(str(path), read="a folder", right=right)
    if not stat.S_ISREG(about.st_mode):
        raise InputError(str(path), read="a pipe or device, not a file", right=right)
    return about.st_size


@contextmanager
def readable(path: Path, right: str) -> Iterator[None]:
    """Turn what the system says of a file that cannot be read into a sentence.

    Raises: InputError.
    """
    try:
        yield
    except FileNotFoundError as error:
        raise InputError(str(path), read="no such file", right=right) from error
    except PermissionError as error:
        raise InputError(
            str(path), read="a file you may not read", right="a file you have the right to read"
        ) from error
    except (OSError, ValueError) as error:
        raise InputError(str(path), read=f"a file that cannot be read ({_system_says(error)})", right=right) from error


def _system_says(error: OSError | ValueError) -> str:
    return error.strerror if isinstance(error, OSError) and error.strerror else str(error)


def _unpacked(name: str, packed: bytes) -> bytes:
    """Return the unpacked bytes of every gzip member, never holding more than the limit."""
    out = bytearray()
    rest = packed
    while rest[:2] == b"\x1f\x8b":
        machine = zlib.decompressobj(wbits=31)
        while not machine.eof:
            try:
                piece = machine.decompress(rest, _CHUNK)
            except zlib.error as error:
                raise InputError(name, read="a broken gzip file", right="a whole gzip file") from error
            out += piece
            _refuse_a_bomb(name, len(packed), len(out))
            rest = machine.unconsumed_tail
            if not piece and not rest and not machine.eof:
                raise InputError(name, read="a gzip file that breaks off", right="a whole gzip file")
        rest = machine.unused_data
    return bytes(out)


def _refuse_a_bomb(name: str, packed: int, unpacked: int) -> None:
    right = (
        f"a log that unpacks to at most {UNPACKED_LIMIT // MIB} MiB "
        f"and, above {GROWTH_FROM // MIB} MiB, to at most {GROWTH_LIMIT} times its packed size (the size limit)"
    )
    if unpacked > UNPACKED_LIMIT or (unpacked > GROWTH_FROM and unpacked > GROWTH_LIMIT * packed):
        raise InputError(
            name, read=f"{packed} packed bytes that unpack to more than {unpacked // MIB} MiB", right=right
        )
