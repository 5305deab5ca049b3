"""The readers: two functions each, asked in this order by the first bytes of the file, never by its name."""

from collections.abc import Callable
from typing import NamedTuple

from steadyhead.trace import mdf_file, other_files, parquet_file, text_file
from steadyhead.trace.opening import Content
from steadyhead.trace.table import RawTable
from steadyhead.words.errors import InputError

_HEAD_BYTES = 4096


class Reader(NamedTuple):
    """One kind of file: how to know it, how to read it, and what it looks for."""

    looks_like: Callable[[bytes], bool]
    read: Callable[[Content], RawTable]
    looks_for: str


READERS: tuple[Reader, ...] = (
    Reader(parquet_file.looks_like, parquet_file.read, parquet_file.LOOKS_FOR),
    Reader(mdf_file.looks_like, mdf_file.read, mdf_file.LOOKS_FOR),
    Reader(other_files.looks_like_sound, other_files.refuse_sound, other_files.SOUND_LOOKS_FOR),
    Reader(other_files.looks_like_archive, other_files.refuse_archive, "an archive, to say so"),
    Reader(text_file.looks_like, text_file.read, text_file.LOOKS_FOR),
)


def table_of(content: Content) -> RawTable:
    """Return the table in a file, read by the first reader that knows it.

    Raises: InputError when no reader does; it says what each looked for.
    """
    head = content.data[:_HEAD_BYTES]
    for reader in READERS:
        if reader.looks_like(head):
            return reader.read(content)
    looked = "; ".join(reader.looks_for for reader in READERS)
    named = " in a file named .parquet: no Parquet file" if content.name.casefold().endswith(".parquet") else ""
    raise InputError(content.name, read=f"bytes that are not text{named}", right=f"one of: {looked}")
