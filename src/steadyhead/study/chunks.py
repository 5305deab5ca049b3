"""The chunks of a study on disk: each is written whole under its own name, so that a kill loses none that was done."""

import hashlib
import io
import math
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

from steadyhead.flight.device import Device
from steadyhead.physics.kernel import CACHE_FOLDER
from steadyhead.report.files import write_whole
from steadyhead.study.asked import Study
from steadyhead.study.design import size
from steadyhead.study.figures import Cells
from steadyhead.words.plain import json_text

MOST_CHUNKS = 100
FEWEST_ON_CARD = 100_000
"""Rows of a part that a graphics card works out: fewer leave it half idle."""
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
    least = 1 if study.device is Device.CPU else FEWEST_ON_CARD
    each = max(least, math.ceil(whole / MOST_CHUNKS))
    return [
        Chunk(first, last, folder / FOLDER / f"{name}-{study.seed}-{first}-{last}.parquet")
        for first in range(0, whole, each)
        for last in (min(first + each, whole),)
    ]


def write_chunk(chunk: Chunk, rows: list[Cells]) -> None:
    """Write a chunk, whole or not at all, on the disk before its name is there.

    Raises: OSError when it cannot be written.
    """
    write_whole({chunk.path: parquet_bytes(rows)})


def parquet_bytes(rows: list[Cells]) -> bytes:
    """Return rows as a Parquet file."""
    import polars as pl

    text = io.BytesIO()
    pl.DataFrame(rows, infer_schema_length=None).write_parquet(text)
    return text.getvalue()


def read_rows(done: list[Chunk]) -> list[Cells]:
    """Return the rows of all chunks, in the order of the study."""
    import polars as pl

    frames = [pl.read_parquet(chunk.path) for chunk in done]
    rows: list[Cells] = pl.concat(frames, how="diagonal_relaxed").sort("row").to_dicts()
    return rows
