"""How long the command line takes: `--help` over bare Python, and a warm `plan`, as medians of whole processes.

Run by hand: python speed/startup.py
"""

import statistics
import subprocess
import sys
import time
from pathlib import Path

FOX = Path(__file__).resolve().parent.parent / "src" / "steadyhead" / "machine" / "bundled" / "fox600.toml"
RUNS = 7


def seconds(*words: str) -> float:
    """Median wall time of a command after one run that warms disk and kernel caches, s."""
    taken = []
    for _ in range(RUNS + 1):
        began = time.perf_counter()
        subprocess.run([sys.executable, *words], stdout=subprocess.DEVNULL, check=False)
        taken.append(time.perf_counter() - began)
    return statistics.median(taken[1:])


def main() -> None:
    """Print the medians, and the differences that count."""
    bare = seconds("-c", "pass")
    for name, words in (
        ("--help", ("-m", "steadyhead", "--help")),
        ("check", ("-m", "steadyhead", "check", str(FOX), "--json")),
        ("plan", ("-m", "steadyhead", "plan", str(FOX), "--json")),
    ):
        taken = seconds(*words)
        print(f"{name:8s} {taken * 1e3:7.0f} ms, over bare Python {(taken - bare) * 1e3:7.0f} ms")


if __name__ == "__main__":
    main()
