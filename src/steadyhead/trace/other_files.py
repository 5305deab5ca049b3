"""Files that are no logs, told by their first bytes, so that the error can say what they are."""

import struct
from typing import NoReturn

from steadyhead.trace.opening import Content
from steadyhead.words.errors import InputError

SOUND_LOOKS_FOR = "a sound file (WAV, FLAC, OGG), to say so"


def looks_like_sound(head: bytes) -> bool:
    """Whether the file begins as a sound file does."""
    return looks_like_wav(head) or head[:4] in (b"fLaC", b"OggS")


def looks_like_wav(head: bytes) -> bool:
    """Whether the file begins as a WAV file does."""
    return head[:4] in (b"RIFF", b"RF64") and head[8:12] == b"WAVE"


def refuse_sound(content: Content) -> NoReturn:
    """Say that this is a sound file, and whether its header tells the truth about its length.

    Raises: InputError always.
    """
    promised, held = _sample_bytes(content.whole()) if looks_like_wav(content.data[:12]) else (None, 0)
    if promised is not None and promised > held:
        raise InputError(
            content.name,
            read=f"a WAV header that promises {promised} bytes of samples over {held} bytes: the length is wrong",
            right="a sound file as long as its header says, or a log with columns",
        )
    raise InputError(
        content.name,
        read="a sound file",
        right=f"a log with columns; a recording is heard by: steadyhead listen MACHINE {content.name}",
    )


def looks_like_archive(head: bytes) -> bool:
    """Whether the file begins as an archive or another packed or foreign file does."""
    return archive_kind(head) is not None


def archive_kind(head: bytes) -> str | None:
    """Return what a well-known foreign file is, by its first bytes."""
    kinds = (
        (b"PK\x03\x04", "a zip archive (or a spreadsheet)"),
        (b"PK\x05\x06", "an empty zip archive"),
        (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
        (b"\x28\xb5\x2f\xfd", "a zstd archive"),
        (b"BZh", "a bzip2 archive"),
        (b"\xfd7zXZ\x00", "an xz archive"),
        (b"%PDF", "a PDF document"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old spreadsheet or document (OLE)"),
        (b"\x89PNG", "a picture (PNG)"),
        (b"\xff\xd8\xff", "a picture (JPEG)"),
        (b"\x7fELF", "a program"),
        (b"SQLite format 3", "a database"),
        (b"\x89HDF", "an HDF5 file"),
    )
    return next((said for mark, said in kinds if head.startswith(mark)), None)


def refuse_archive(content: Content) -> NoReturn:
    """Say what kind of foreign file this is.

    Raises: InputError always.
    """
    kind = archive_kind(content.data[:32]) or "an archive"
    raise InputError(content.name, read=kind, right="the log itself: unpack or export it as CSV first")


def _sample_bytes(data: bytes) -> tuple[int | None, int]:
    """Return the bytes of samples that the header promises, and those that are there."""
    at = 12
    while at + 8 <= len(data):
        size = int(struct.unpack_from("<I", data, at + 4)[0])
        if data[at : at + 4] == b"data":
            return size, len(data) - at - 8
        at += 8 + size + (size & 1)
    return None, 0
