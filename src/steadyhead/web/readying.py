"""Getting the ear ready aside: its kernels are compiled in a process of its own the first time, and found ready after.

Compiled in the server they would hold up every page, and the line of the microphone would end for want of a sign.
"""

import multiprocessing
import signal

from steadyhead.machine.description import Machine


def ready_aside(machine: Machine, rate_hz: float) -> None:
    """Let a process of its own hear a second of silence; blocks until it has."""
    process = multiprocessing.get_context("spawn").Process(target=_hear_silence, args=(machine, rate_hz), daemon=True)
    process.start()
    process.join()


def _hear_silence(machine: Machine, rate_hz: float) -> None:
    from steadyhead import job

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    ear = job.live_ear(machine, rate_hz)
    for _ in range(SILENT_BLOCKS):
        ear.push(bytes(BLOCK_BYTES))


SILENT_BLOCKS, BLOCK_BYTES = 24, 16384
"""A few seconds at any rate: longer than the ear looks ahead. Own choice."""
