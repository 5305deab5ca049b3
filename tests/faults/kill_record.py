"""Kill a program that writes the record, at random instants, and see that nothing confirmed is lost.

    python tests/faults/kill_record.py --kills 2000

A child keeps readings, recordings and answers of bench runs, and says each one on a pipe once the record has
confirmed it; the parent kills it with SIGKILL and opens the record again. `--hasty` confirms before it writes: then
the check must find losses.
This shows what a killed program does; a power cut also needs a disk that keeps what it has acknowledged.
"""

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path

from sqlalchemy import select

from steadyhead.bench import guided, tables
from steadyhead.bench.care import condition
from steadyhead.bench.kept_files import kept_path, sha256_of
from steadyhead.bench.record import Record, add_reading, keep_machine, keep_recording, open_record
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled

MOST_LINES = 12
"""A child says fewer lines than this before its time runs out: the first that it began, the others what it wrote."""
LONGEST_WAIT_S = 0.006
"""And then lives on for a random time, at most about as long as a reading takes."""
OPENING_EVERY = 8
"""Every so many kills hit the making of a new record instead."""


def child(path: Path, pipe: int, seed: int, hasty: bool) -> None:
    """Write until killed, saying each row once it is confirmed."""
    draw = random.Random(seed)
    record = open_record(path)
    revision = keep_machine(record, bundled("wren450"))
    os.write(pipe, b"begun\n")
    count = 0
    while True:
        count += 1
        rpm = 1000.0 + seed + count / 1e4
        if hasty:
            os.write(pipe, f"reading {rpm!r}\n".encode())
        if draw.random() < 0.2:
            sound = path.with_name(f"sound-{seed}.wav")
            sound.write_bytes(draw.randbytes(draw.randrange(1, 200_000)))
            key = keep_recording(record, revision, sound)
            os.write(pipe, f"recording {key}\n".encode())
        if draw.random() < 0.1:
            run = guided.start_run(record, bundled("wren450")).run
            for step in ("cautions", "blades_off"):
                told = guided.answer(record, run, step, "yes")
                os.write(pipe, f"event {run} {told.events}\n".encode())
        add_reading(record, revision, Reading(percent=50.0, head_speed_rpm=rpm, spread_rpm=1.0, source="killed"))
        if not hasty:
            os.write(pipe, f"reading {rpm!r}\n".encode())


def killed_once(path: Path, seed: int, draw: random.Random, hasty: bool, *, opening: bool) -> list[str]:
    """Start a child, kill it while it opens or while it writes, and return what it said was confirmed."""
    readable, writable = os.pipe()
    born = os.fork()
    if born == 0:
        os.close(readable)
        try:
            child(path, writable, seed, hasty)
        finally:
            os._exit(3)
    os.close(writable)
    with os.fdopen(readable, "rb", buffering=0) as pipe:
        lines, said = 0 if opening else draw.randrange(1, MOST_LINES), b""
        while said.count(b"\n") < lines and (more := pipe.read(4096)):
            said += more
        time.sleep(draw.uniform(0.0, LONGEST_WAIT_S))
        os.kill(born, signal.SIGKILL)
        os.waitpid(born, 0)
        said += pipe.read()
    return [line for line in said.decode().split("\n")[:-1] if line != "begun"]


def lost(record: Record, confirmed: set[str]) -> set[str]:
    """Return what was confirmed and is not there, whole."""
    with record.reading() as connection:
        there = {f"reading {rpm!r}" for rpm in connection.execute(select(tables.reading.c.head_speed_rpm)).scalars()}
        rows = connection.execute(
            select(tables.recording.c.id, tables.kept_file.c.sha256, tables.kept_file.c.ending).join(tables.kept_file)
        ).all()
        events = connection.execute(select(tables.bench_event.c.run_id, tables.bench_event.c.number)).all()
    there |= {f"event {row.run_id} {row.number}" for row in events}
    for row in rows:
        path = kept_path(record.files, row.sha256, row.ending)
        if f"recording {row.id}" in confirmed and path.is_file() and sha256_of(path) == row.sha256:
            there.add(f"recording {row.id}")
    return confirmed - there


def run(kills: int, seed: int, hasty: bool) -> tuple[int, int, int, int]:
    """Return how much was confirmed, how much of it was lost, rows there that nobody confirmed, kills before any."""
    draw = random.Random(seed)
    confirmed: set[str] = set()
    missing: set[str] = set()
    early = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.sqlite"
        with open_record(path) as record:
            keep_machine(record, bundled("wren450"))
        for kill in range(kills):
            opening = kill % OPENING_EVERY == 0
            where = path.with_name(f"new-{kill}.sqlite") if opening and kill else path
            said = killed_once(where, kill, draw, hasty, opening=opening)
            early += not said
            if where != path:
                open_record(where).close()
                continue
            with open_record(path) as record:
                missing |= lost(record, set(said))
                confirmed |= set(said)
                if kill % 25 == 0 or kill == kills - 1:
                    faults = condition(record).faults
                    if faults:
                        raise SystemExit(f"after kill {kill}: {faults}")
        with open_record(path) as record:
            missing |= lost(record, confirmed)
            found = condition(record)
    rows = found.rows["reading"] + found.rows["recording"] + found.rows["bench_event"]
    return len(confirmed), len(missing), rows - len(confirmed - missing), early


def main() -> int:
    """Kill as often as asked; 1 when something confirmed was lost."""
    words = argparse.ArgumentParser()
    words.add_argument("--kills", type=int, default=200)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--hasty", action="store_true")
    asked = words.parse_args()
    began = time.monotonic()
    confirmed, missing, unsaid, early = run(asked.kills, asked.seed, asked.hasty)
    sys.stdout.write(
        f"{asked.kills} kills, {confirmed} confirmed, {missing} lost, {unsaid} written but not yet confirmed, "
        f"{early} killed before anything was confirmed, {time.monotonic() - began:.0f} s\n"
    )
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
