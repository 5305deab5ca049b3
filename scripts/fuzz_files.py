"""Read very many broken files, and say which were not survived.

Run from the root of the repository: python scripts/fuzz_files.py [CASES] [FIRST]
Case FIRST is the first one; the same number is always the same file. A child process reads them, so that a crash, a
hang (20 s of processor time for one file) or a file that asks for too much memory (2 GB of addresses beyond
what is there at the start) is seen, noted, and gone past.
"""

import gc
import resource
import signal
import subprocess
import sys
import tempfile
import traceback
import warnings
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

CHUNK = 20_000
LIMIT_S = 20.0
MEMORY_BYTES = 2 << 30
RESIDENT_MB = 1500.0


def child(first: int, cases: int, folder: Path) -> None:
    """Read cases one by one; note where we are before each, and what happened after."""
    import os

    import pytest

    from tests.property.file_cases import case_of
    from tests.property.surviving import survive

    monkeypatch = pytest.MonkeyPatch()
    warnings.simplefilter("error")
    for k in range(200):  # everything that is loaded late is loaded, before addresses are counted
        survive(folder / "case", case_of(k), k, monkeypatch)
    taken = int(Path("/proc/self/statm").read_text("ascii").split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (taken + MEMORY_BYTES, taken + MEMORY_BYTES))
    heard = os.open(folder / "heard", os.O_RDWR | os.O_CREAT | os.O_TRUNC)
    os.dup2(heard, 1)
    os.dup2(heard, 2)
    gc.collect()
    gc.freeze()  # the MDF reader has rubbish collected after each broken file: let it look at its own only
    at = os.open(folder / "at", os.O_WRONLY | os.O_CREAT)
    with (folder / "ends").open("a", encoding="utf-8") as ends:
        for seed in range(first, first + cases):
            os.pwrite(at, f"{seed:12d}".encode(), 0)
            signal.setitimer(signal.ITIMER_PROF, LIMIT_S)
            case = case_of(seed)
            try:
                end = survive(folder / "case", case, seed, monkeypatch)
            except BaseException as error:  # noqa: BLE001 - whatever it is, it is what is looked for
                where = traceback.extract_tb(error.__traceback__)[-1]
                said = (str(error).splitlines() or [""])[0][:100]
                end = f"NOT SURVIVED {type(error).__name__} {said} at {Path(where.filename).name}:{where.lineno}"
            sys.stdout.flush()
            if os.fstat(heard).st_size:
                end = f"NOT SURVIVED said on the terminal: {os.pread(heard, 150, 0)!r} ({end})"
                os.ftruncate(heard, 0)
                os.lseek(heard, 0, os.SEEK_SET)
            ends.write(f"{seed}\t{case.kind}\t{end}\n")
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        ends.write(f"-\tmemory\t{peak:.0f}\n")


def run(cases: int, first: int, folder: Path) -> None:
    """Have children read all cases, a fresh one after each chunk and after each that died."""
    seed = first
    while seed < first + cases:
        count = min(CHUNK, first + cases - seed)
        ran = subprocess.run(
            [sys.executable, __file__, "--child", str(seed), str(count), str(folder)], check=False, capture_output=True
        )
        if ran.returncode == 0:
            seed += count
            continue
        if not (folder / "at").exists():
            raise SystemExit(ran.stderr.decode("utf-8", "replace"))
        dead = int((folder / "at").read_text("ascii"))
        with (folder / "ends").open("a", encoding="utf-8") as ends:
            ends.write(f"{dead}\t-\tNOT SURVIVED the process died ({ran.returncode})\n")
        seed = dead + 1


def main() -> int:
    """Run, print the counts by kind, and every case that was not survived."""
    if sys.argv[1:2] == ["--child"]:
        child(int(sys.argv[2]), int(sys.argv[3]), Path(sys.argv[4]))
        return 0
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        run(cases, first, folder)
        lines = [line.split("\t") for line in (folder / "ends").read_text("utf-8").splitlines()]
    peaks = [float(line[2]) for line in lines if line[1] == "memory"]
    ends = [line for line in lines if line[1] != "memory"]
    bad = [line for line in ends if line[2].startswith("NOT")]
    counts = Counter((kind, end) for _, kind, end in ends if not end.startswith("NOT"))
    print(f"{len(ends)} cases, the first is {first}: {len(bad)} not survived, peak memory {max(peaks):.0f} MB")
    for kind in sorted({kind for _, kind, _ in ends}):
        print(f"  {kind}: {counts[kind, 'read']} read, {counts[kind, 'refused']} refused")
    for seed, kind, end in bad[:200]:
        print(f"  case {seed}, {kind}: {end}")
    return int(bool(bad) or max(peaks) > RESIDENT_MB or len(ends) != cases)


if __name__ == "__main__":
    sys.exit(main())
