"""How long a plan takes: a fresh process with everything imported, and again in the same process.

Run by hand: python speed/plan_time.py [machine name]. Best of five. Compile the libraries' bytecode first
(python -m compileall -q on the environment): without it the imports alone take twice as long.

What it measured stands in docs/plan.md.
"""

import os
import subprocess
import sys
import tempfile
import time

FRESH = """
import time
begun = time.perf_counter()
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.plan.steady import plan
machine = read_machine(bundled({name!r}))
read = time.perf_counter()
plan(machine)
planned = time.perf_counter()
plan(machine)
print(read - begun, planned - read, time.perf_counter() - planned)
"""


def fresh(name: str, cache: str | None = None) -> tuple[float, float, float, float]:
    """Wall time of a new process, and of its parts: imports and reading, first plan, second plan, s."""
    environment = dict(os.environ, **({"STEADYHEAD_CACHE": cache} if cache else {}))
    begun = time.perf_counter()
    said = subprocess.run(
        [sys.executable, "-c", FRESH.format(name=name)], check=True, capture_output=True, text=True, env=environment
    )
    wall = time.perf_counter() - begun
    imports, first, second = (float(word) for word in said.stdout.split())
    return wall - second, imports, first, second


def main() -> None:
    name = sys.argv[1] if len(sys.argv) > 1 else "fox600"
    with tempfile.TemporaryDirectory() as cache:
        cold = fresh(name, cache)
    print(f"kernels compiled anew: {cold[0]:.2f} s")
    fresh(name)
    rows = sorted(fresh(name) for _ in range(5))
    wall, imports, first, second = rows[0]
    print(f"kernels cached: {wall:.2f} s (imports and reading {imports:.2f} s, first plan {first:.2f} s)")
    print(f"again in the same process: {second:.3f} s")
    print(f"all five: {', '.join(f'{row[0]:.2f}' for row in rows)} s")


if __name__ == "__main__":
    main()
