"""Times bail-outs and whole flights on a graphics card against two cores, in the same run, and counts the arithmetic.

Run by hand from the root of the repository on a machine with a card: python speed/on_device.py [part ...]
Parts: bail-outs, flights, single, study (all when none is named); `count` alone, with NUMBA_DISABLE_JIT=1, counts
operations.
The first call of each kind compiles and is not timed. Two cores are two threads of this process held to two of them.
"""

import math
import os
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import Ready, base_case, ready
from steadyhead.flight.bail_out_drawn import drawn_cases
from steadyhead.flight.bail_out_flight import bail_out
from steadyhead.flight.bail_out_height import flown, granted
from steadyhead.flight.batches import in_batches
from steadyhead.flight.begin import Placed
from steadyhead.flight.device import Device, device_of, name_of
from steadyhead.flight.flight_device import flights_on_card
from steadyhead.flight.loop import COLLECTIVE, COMMANDS, FORWARD, LOAD_FACTOR, RATE_OF, TARGET
from steadyhead.flight.many_flights import CODE, FLOWN, flights_told
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine

Floats = np.ndarray
CORES = 2
PEAK_FP64 = 34e12
"""Double precision of an H100 SXM without tensor cores. Source: the maker's data sheet (from memory)."""
BAIL_OUTS = (1_000, 3_000, 10_000, 30_000, 100_000, 300_000, 1_000_000)
FLIGHTS = (1_000, 10_000, 30_000, 100_000, 300_000, 1_000_000)
ON_CORES, FLIGHTS_ON_CORES, FLIGHT_S = 20_000, 60, 60.0
KEPT = Path(tempfile.gettempdir()) / "steadyhead_map.npz"
STUDY = """name = "bail-outs of a million machines"
machine = "fox600"
collect = "bail_out"
question = "sensitivity"
figure = "height_lost_m"
draws = {draws}
spreads = ["motor.resistance", "airframe.mass", "rotor.drag_factor"]
[vary]
pilot_delay = "0.7 s +- 0.4 s"
"""


def timed(call: Callable[[], object], turns: int = 2) -> float:
    """Least wall time of a call, s."""
    times = []
    for _ in range(turns):
        begin = time.perf_counter()
        call()
        times.append(time.perf_counter() - begin)
    return min(times)


def on_cores(call: Callable[[], object], turns: int = 2) -> float:
    """Least wall time of a call on two cores, s."""
    every = os.sched_getaffinity(0)
    os.sched_setaffinity(0, set(sorted(every)[:CORES]))
    try:
        return timed(call, turns)
    finally:
        os.sched_setaffinity(0, every)


def line(counts: tuple[int, ...], times: list[float]) -> str:
    """A straight line through times over counts, and how far the points lie off it."""
    slope, start = np.polyfit(counts, times, 1)
    off = np.abs(np.polyval([slope, start], counts) - times) / times
    return f"{start:.3f} s + {slope * 1e6:.3f} us each; off by {off[-1]:.1%} at {counts[-1]}, at most {off.max():.0%}"


def fox() -> Ready:
    """The invented Fox 600 in its fastest mode."""
    return ready(read_machine(bundled("fox600")), 1)


def time_bail_outs() -> None:
    """Bail-outs, drawn and flown, with every transfer."""
    own = fox()
    on_card, base = replace(own, device=Device.CUDA), base_case(own, 0.0)
    few = granted(own, drawn_cases(own, base, ON_CORES))
    flown(own, few[:200])
    draw_s = on_cores(lambda: drawn_cases(own, base, ON_CORES))
    here_s = on_cores(lambda: flown(own, few))
    begin = time.perf_counter()
    told = flown(on_card, few)
    print(f"card: first call, compiled, {time.perf_counter() - begin:.1f} s")
    here = flown(own, few)
    print("endings the same:", bool(np.array_equal(told[:, 0], here[:, 0])))
    print(f"heights apart: {np.abs(told[:, columns.LOST] - here[:, columns.LOST]).max():.1e} m")
    drawn_cases(on_card, base, 2000)
    card_draw_s = timed(lambda: drawn_cases(on_card, base, BAIL_OUTS[-1]), 1)
    cases = granted(own, drawn_cases(on_card, base, BAIL_OUTS[-1]))
    times = [timed(lambda n=n: flown(on_card, cases[:n]), 3) for n in BAIL_OUTS]
    for number, seconds in zip(BAIL_OUTS, times, strict=True):
        print(f"card: {number} bail-outs flown in {seconds:.3f} s")
    print("line:", line(BAIL_OUTS, times))
    whole_s = here_s * BAIL_OUTS[-1] / ON_CORES
    print(f"two cores: {ON_CORES} flown in {here_s:.2f} s: {whole_s:.0f} s for {BAIL_OUTS[-1]}")
    print(f"ratio: {whole_s / times[-1]:.0f}; drawing: {draw_s * BAIL_OUTS[-1] / ON_CORES:.1f} and {card_draw_s:.1f} s")


def stirred(own: Ready) -> tuple[Placed, Floats]:
    """A minute of governed flight with the collective stirred about the hover."""
    from steadyhead.flight.begin import hover_trim

    clock = own.rig.setting.clock
    frame_s = clock.step_s * clock.steps_a_frame
    at = np.arange(round(FLIGHT_S / frame_s)) * frame_s
    rows = np.full((at.size, len(COMMANDS)), math.nan)
    percent = float(base_case(own, 0.0)[columns.TARGET])
    rows[:, TARGET], rows[:, RATE_OF], rows[:, FORWARD], rows[:, LOAD_FACTOR] = percent, 100.0, 0.0, 1.0
    swing = math.radians(1.5) * (np.sin(0.7 * at) + np.sin(3.1 * at))
    rows[:, COLLECTIVE] = hover_trim(own.rig, own.mode) + swing
    return Placed(0, own.set_rad_s, percent, 300.0, 0.95), rows


def time_flights() -> None:
    """Whole flights of a minute, peaks kept, with every transfer."""
    own = fox()
    placed, asked = stirred(own)
    setting = own.rig.setting
    drawn = drawn_cases(replace(own, device=Device.CUDA), base_case(own, 0.0), FLIGHTS[-1])
    here = np.empty((FLIGHTS_ON_CORES, len(FLOWN)))

    def part(rows: slice) -> None:
        flights_told(own.craft, setting, placed, drawn[:FLIGHTS_ON_CORES][rows], asked, here[rows])

    def few() -> None:
        in_batches(FLIGHTS_ON_CORES, part, each=5)

    few()
    here_s = on_cores(few)
    begin = time.perf_counter()
    told = flights_on_card(own.craft, setting, placed, drawn[:FLIGHTS_ON_CORES], asked)
    print(f"card: first call, compiled, {time.perf_counter() - begin:.1f} s")
    known = np.isfinite(here)
    apart = np.abs(told[known] - here[known]) / np.maximum(np.abs(here[known]), 1e-300)
    print(f"endings the same: {np.array_equal(told[:, CODE], here[:, CODE])}; figures apart by {apart.max():.1e}")
    times = [timed(lambda n=n: flights_on_card(own.craft, setting, placed, drawn[:n], asked), 1) for n in FLIGHTS]
    for number, seconds in zip(FLIGHTS, times, strict=True):
        print(f"card: {number} flights of {FLIGHT_S:.0f} s in {seconds:.2f} s")
    print("line:", line(FLIGHTS, times))
    each_s, steps = here_s / FLIGHTS_ON_CORES, FLIGHT_S / setting.clock.step_s
    print(f"two cores: {FLIGHTS_ON_CORES} in {here_s:.2f} s; ratio {each_s * FLIGHTS[-1] / times[-1]:.0f}")
    print(f"{steps:.0f} steps a flight; {steps * FLIGHTS[-1] / times[-1]:.3g} steps a second on the card")


def time_study() -> None:
    """The command `study` from its file to its answer, on the card and on the processor."""
    from steadyhead import job

    for device, draws in (("cuda", 4096), ("cuda", 131_072), ("cpu", 4096)):
        folder = Path(tempfile.mkdtemp())
        (folder / "study.toml").write_text(STUDY.format(draws=draws), "utf-8")
        begin = time.perf_counter()
        answer = job.study(folder / "study.toml", folder / "out", device=device)
        print(f"study on {answer.device}: {answer.rows} machines in {time.perf_counter() - begin:.1f} s")
        print({one.key: round(one.total, 3) for one in answer.influences})


def time_single() -> None:
    """A million bail-outs in single precision against double, both on the card, and how far they are apart."""
    from speed.single import doubles, flown_singly

    own = replace(fox(), device=Device.CUDA)
    cases = granted(own, drawn_cases(own, base_case(own, 0.0), BAIL_OUTS[-1]))
    singly, run = flown_singly(own)
    told, lone = flown(own, cases), singly(cases)
    print("lines of the single program with double and single numbers:", doubles(run))
    for number in BAIL_OUTS[-3:]:
        double_s, single_s = (timed(lambda n=number, fly=fly: fly(cases[:n])) for fly in (partial(flown, own), singly))
        print(f"{number}: double {double_s:.3f} s, single {single_s:.3f} s, ratio {double_s / single_s:.2f}")
    print("endings that differ:", int(np.sum(told[:, columns.CODE] != lone[:, columns.CODE])))
    level = told[:, columns.CODE] == columns.LEVEL_REACHED
    shares = (0.5, 0.9, 0.99, 0.999, 1.0)
    for name in ("height_lost_m", "time_s", "caught_s", "motor_current_a", "bearing_nm"):
        column = columns.TOLD.index(name)
        apart = np.abs(lone[level, column].astype(float) - told[level, column])
        print(name, "apart at", shares, np.nanquantile(apart, shares), "size", np.nanmax(told[level, column]))
    print("heights that nine tenths keep:", [float(np.quantile(one[level, columns.LOST], 0.9)) for one in (told, lone)])


def keep_map() -> None:
    """Keep one case with its map for `count`, which runs without the compiler."""
    own = fox()
    np.savez(KEPT, loads=own.map.loads, case=granted(own, base_case(own, 0.0)), rest=np.array(own.map[1:]))


def count_operations() -> None:
    """Operations of one bail-out of the Fox 600, on numbers that count."""
    from speed import flight_operations as counting
    from steadyhead.flight.bail_out_kept import Limits
    from steadyhead.flight.loop import Clock
    from steadyhead.flight.rig import rig
    from steadyhead.physics.rotor_map import RotorMap

    kept, own = np.load(KEPT), rig(read_machine(bundled("fox600")), blades_on=True)
    setting = own.setting._replace(clock=Clock(4e-3, 5, 1, 1), governor=own.setting.governor._replace(sample_s=4e-3))
    for word in ("exp", "expm1", "sin", "cos", "asin"):
        setattr(math, word, counting.watched(getattr(math, word), "library"))
    math.sqrt = counting.watched(math.sqrt, "root")
    math.copysign = counting.watched(math.copysign, "sign")
    numbers = [
        counting.counted(one)
        for one in (
            own.craft,
            RotorMap(kept["loads"], *kept["rest"].tolist()),
            setting,
            Limits(math.nan, math.nan, 40.0),
        )
    ]
    told = np.zeros(19, dtype=object)
    counting.DONE.clear()
    bail_out(*numbers, counting.counted(kept["case"]), np.zeros(79, dtype=object), told, np.zeros((0, 8)))
    whole = sum(counting.DONE[kind] for kind in ("sum", "product", "quotient", "root"))
    print(f"one bail-out, level after {told[2]:.2f} s: {whole} operations, {dict(counting.DONE)}")


def main() -> None:
    """Run the parts that are named."""
    asked = sys.argv[1:] or ["bail-outs", "flights", "single", "study"]
    if asked == ["count"]:
        count_operations()
        return
    print(name_of(device_of("cuda")), "beside", CORES, "of", os.cpu_count(), "cores")
    keep_map()
    for part in asked:
        {"bail-outs": time_bail_outs, "flights": time_flights, "single": time_single, "study": time_study}[part]()


if __name__ == "__main__":
    main()
