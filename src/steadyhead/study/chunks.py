"""The chunks of a study on disk: each is written whole under its own name, so that a kill loses none that was done."""

import hashlib
import io
import math
from collections.abc import Sequence
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

import polars as pl

from steadyhead.flight.device import Device
from steadyhead.physics.kernel import CACHE_FOLDER
from steadyhead.report.files import write_whole
from steadyhead.study.asked import Collects, Study
from steadyhead.study.design import size
from steadyhead.study.table import put_together
from steadyhead.words.plain import json_text

MOST_CHUNKS = 100
FEWEST_ON_CARD = 100_000
"""Rows of a part that a graphics card works out: fewer leave it half idle."""
FEWEST_IN_ONE_GO = {Collects.BAIL_OUT: 2000, Collects.PEAKS: 40}
"""Rows of a part that threads share: about a second of two cores, so that none of them waits long for the last."""
FOLDER = "chunks"


class Chunk(NamedTuple):
    """Rows `first` to before `last` of a study, and the file that holds them."""

    first: int
    last: int
    path: Path


def identity(study: Study) -> str:
    """Return a digest of all that the figures of a study rest on: rows, machine, scenario, code."""
    asked = replace(study, name="", source="", check="", figure="", against=("", ""), needed_share=0.0)
    digest = hashlib.sha256(json_text(asked).encode())
    digest.update(f"{version('steadyhead')} {CACHE_FOLDER.name}".encode())
    if study.scenario and Path(study.scenario).is_file():
        digest.update(Path(study.scenario).read_bytes())
    return digest.hexdigest()[:16]


def chunks(study: Study, folder: Path) -> list[Chunk]:
    """Return the chunks of a study; a file's name says the study, the seed and the rows."""
    whole, name = size(study), identity(study)
    least = FEWEST_IN_ONE_GO.get(study.collects, 1) if study.device is Device.CPU else FEWEST_ON_CARD
    each = max(least, math.ceil(whole / MOST_CHUNKS))
    return [
        Chunk(first, last, folder / FOLDER / f"{name}-{study.seed}-{first}-{last}.parquet")
        for first in range(0, whole, each)
        for last in (min(first + each, whole),)
    ]


def write_chunk(chunk: Chunk, rows: pl.DataFrame) -> None:
    """Write a chunk, whole or not at all, on the disk before its name is there.

    Raises: OSError when it cannot be written.
    """
    write_whole({chunk.path: parquet_bytes(rows)})


def parquet_bytes(rows: pl.DataFrame) -> bytes:
    """Return rows as a Parquet file."""
    text = io.BytesIO()
    rows.write_parquet(text)
    return text.getvalue()


def read_rows(done: Sequence[Chunk]) -> pl.DataFrame:
    """Return the rows of all chunks, in the order of the study."""
    return put_together([pl.read_parquet(chunk.path) for chunk in done]).sort("row")
