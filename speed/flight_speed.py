"""Times the flight engine: against the same algorithm in C, against SciPy at equal error, in threads, from cold.

Run by hand from the root of the repository: python speed/flight_speed.py [part ...]
Parts: c, curve, scipy, threads, cold (all when none is named). Everything of one part is timed in one run, turn by
turn, and the median is shown. Times are processor time of the thread, since the machine may be shared; two threads
and a cold start are timed by the wall.
"""

import ctypes
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.flight.begin import hovering
from steadyhead.flight.loop import COLLECTIVE, COLUMNS, COMMANDS, FORWARD, LOAD_FACTOR, RATE_OF, TARGET, Clock, fly
from steadyhead.flight.rig import Rig, rig
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.at_duty import point_at_duty
from steadyhead.physics.craft import NO_LOADS, Acting, State
from steadyhead.physics.flight_step import climb_rate, loads_at, slow_resistance, source_now
from steadyhead.physics.inflow import DESCENT_FACTORS
from steadyhead.physics.kernel import kernel
from steadyhead.physics.rotor_flow import FLOW_RULE, RATE, TRIED
from steadyhead.physics.shaft import locked_rate
from steadyhead.physics.warmth import warming
from tests.naive.flight_twin import governed
from tests.unit.flight.plain_numbers import plain, plain_state

ROOT = Path(__file__).resolve().parents[1]
RPM = 30.0 / math.pi
END_S = 60.0
FLAGS = ("-O3", "-march=native", "-ffast-math", "-shared", "-fPIC")
SWING_RAD = math.radians(3.0)
WANTED_RPM = 0.5


def collective(trim_rad: float, time_s: float) -> float:
    """A minute of smooth, hard stirring about the hover."""
    slow, fast = math.sin(0.7 * time_s), math.sin(3.1 * time_s)
    return trim_rad + SWING_RAD * (0.5 * slow + 0.5 * fast)


def medians(
    *calls: Callable[[], object], turns: int = 9, clock: Callable[[], float] = time.thread_time
) -> list[float]:  # fmt: skip
    """Median time of each call, s, taken turn by turn: processor time, since the machine may be shared."""
    for call in calls:
        call()
    times: list[list[float]] = [[] for _ in calls]
    for _ in range(turns):
        for call, kept in zip(calls, times, strict=True):
            begin = clock()
            call()
            kept.append(clock() - begin)
    return [statistics.median(kept) for kept in times]


class Bench:
    """The invented Fox 600 in a governed hover, its commands, and both engines on it."""

    def __init__(
        self,
        *,
        step_s: float = 1e-3,
        sample_s: float = 4e-3,
        frame_s: float = 20e-3,
        smooth: bool = False,
        rounds: bool = True,
    ) -> None:
        self.ready = self._ready(step_s, sample_s, frame_s, smooth)
        if not rounds:
            quiet = self.ready.setting.governor._replace(sensor_step_rad_s=0.0)
            self.ready = replace(self.ready, setting=self.ready.setting._replace(governor=quiet))
        self.step_s, self.steps = step_s, round(END_S / step_s)
        percent = float(self.ready.setting.law_percent[1])
        self.now, (self.flow, self.memory) = hovering(
            self.ready, mode=1, channel_percent=percent, height_m=100.0, charge=0.95
        )
        self.trim = self.now.collective_rad
        frames = round(END_S / frame_s)
        middle = 0.5 * frame_s if smooth else 0.0
        self.asked = np.array([collective(self.trim, k * frame_s + middle) for k in range(frames)])
        self.rows = np.full((frames, len(COMMANDS)), math.nan)
        self.rows[:, TARGET], self.rows[:, RATE_OF], self.rows[:, FORWARD] = percent, 1e9, 0.0
        self.rows[:, COLLECTIVE], self.rows[:, LOAD_FACTOR] = self.asked, 1.0
        self.record = np.full((self.steps // self.ready.setting.clock.steps_a_row + 1, len(COLUMNS)), math.nan)

    @staticmethod
    def _ready(step_s: float, sample_s: float, frame_s: float, smooth: bool) -> Rig:
        found = rig(read_machine(bundled("fox600")), blades_on=True)
        governor = found.setting.governor._replace(sample_s=sample_s, sensor_delay_s=0.0)
        lag = found.setting.servo_lag_s
        if smooth:
            governor, lag = governor._replace(filter_s=0.0, sensor_step_rad_s=0.0), 0.0
        clock = Clock(step_s, round(frame_s / step_s), round(sample_s / step_s), max(1, round(0.01 / step_s)))
        return replace(found, setting=found.setting._replace(clock=clock, governor=governor, servo_lag_s=lag))

    def ours(self) -> None:
        """Fly the minute with the engine."""
        code, self.end = fly(
            self.ready.craft, self.ready.setting, self.now, self.rows, self.flow.copy(), self.memory.copy(),
            self.record, self.steps,
        )  # fmt: skip
        assert code == 0

    def in_c(self, library: ctypes.CDLL) -> Callable[[], None]:
        """Return a call that flies the same minute in C."""
        craft, setting, state = self.ready.craft, self.ready.setting, self.now.state
        p, governor, clock = plain(craft), setting.governor, setting.clock
        numbers = np.array([
            p["kv"], p["motor_ohm"], p["no_load_a"], p["no_load_speed"], p["share"], p["controller_ohm"],
            p["switch_hz"], p["switch_s"], p["ripple"], p["freewheel_v"],
            p["cells"], p["capacity"], p["pack_ohm"], p["slow_ohm"],
            p["slow_s"], p["pack_k"], p["ratio"], p["efficiency"], craft.gears.drag_torque_nm, craft.body.head_drag_nm,
            p["cw"], p["rw"], p["cc"], p["rc"], p["ck"], p["rk"], p["air_k"], p["blades"], p["radius"], p["root"],
            p["chord"], p["twist"], p["density"], p["sound"], p["viscosity"], p["log_re_low"], p["log_re_step"],
            p["lift_factor"], p["drag_factor"], p["compressible"], p["polar"].shape[1], p["polar"].shape[2],
            p["tail_end"], p["tail_full"], p["tail_table"].shape[1], p["mass"], p["drag_area"], p["head_j"],
            p["motor_j"], governor.sample_s, governor.gain,
            governor.gain_per_s, governor.collective_duty_per_rad, governor.filter_s,
            governor.sensor_step_rad_s, self.ready.set_rad_s[1], setting.servo_lag_s,
        ], dtype=np.float64)  # fmt: skip
        held, drawn = self.now.carried
        start = np.array([*state[:9], held.thrust_n, held.torque_nm, held.tail_nm, drawn.pack_current_a])
        place, weight = (np.ascontiguousarray(FLOW_RULE[:, k]) for k in (0, 1))
        self.c_record, self.c_books = np.zeros((self.record.shape[0], 16)), np.zeros(15)
        tables = (p["polar"], p["tail_table"], DESCENT_FACTORS, place, weight)
        pointer = lambda array: array.ctypes.data_as(ctypes.POINTER(ctypes.c_double))  # noqa: E731
        keep = [numbers, start, self.asked, *tables]

        def call() -> None:
            code = library.fly(
                pointer(numbers), *(pointer(table) for table in tables), pointer(start),
                ctypes.c_double(self.now.governor.duty), ctypes.c_double(self.trim), pointer(self.asked),
                ctypes.c_int(self.asked.size), ctypes.c_int(self.steps), ctypes.c_double(self.step_s),
                ctypes.c_int(clock.steps_a_frame), ctypes.c_int(clock.steps_a_sample), ctypes.c_int(clock.steps_a_row),
                pointer(self.flow.copy()), pointer(self.c_record), pointer(self.c_books),
            )  # fmt: skip
            assert code == 0
            assert keep

        return call


def built(folder: Path) -> ctypes.CDLL:
    """Compile the C twin."""
    made = folder / "flight_twin.so"
    subprocess.run(["cc", *FLAGS, "-o", str(made), str(ROOT / "speed" / "flight_twin.c"), "-lm"], check=True)
    return ctypes.CDLL(str(made))


def against_c() -> None:
    """A minute at 1 kHz: ours against C."""
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench()
        theirs = bench.in_c(built(Path(folder)))
        mine_s, c_s = medians(bench.ours, theirs, turns=21)
        apart = np.abs(bench.record[1:, 1] - bench.c_record[1:, 1]).max() * RPM
        print(f"60 s at 1 kHz: ours {1e3 * mine_s:.1f} ms, C {1e3 * c_s:.1f} ms, ratio {mine_s / c_s:.2f}")
        print(f"  head speeds apart by at most {apart:.2g} rpm: the same algorithm")
        for step_s in (2e-3, 4e-3):
            quick = Bench(step_s=step_s)
            (quick_s,) = medians(quick.ours, turns=21)
            print(f"60 s in steps of {1e3 * step_s:g} ms: ours {1e3 * quick_s:.1f} ms")


def error_curve() -> None:
    """Worst rpm error of the same governed minute against steps; the sensor does not round, since rounding is chaos."""
    finest = Bench(step_s=0.125e-3, sample_s=8e-3, frame_s=24e-3, rounds=False)
    finest.ours()
    times = np.arange(0.08, END_S - 0.1, 0.08)
    true = np.interp(times, finest.record[1:, 0], finest.record[1:, 1])
    for step_s in (8e-3, 4e-3, 2e-3, 1e-3, 0.5e-3):
        bench = Bench(step_s=step_s, sample_s=8e-3, frame_s=24e-3, rounds=False)
        (taken,) = medians(bench.ours, turns=7)
        worst = np.abs(np.interp(times, bench.record[1:, 0], bench.record[1:, 1]) - true).max() * RPM
        print(f"step {1e3 * step_s:5.3g} ms: worst error {worst:.2g} rpm, {1e3 * taken:.1f} ms for 60 s")


@kernel
def compiled_rates(craft, y, duty, collective_rad, flow):  # type: ignore[no-untyped-def]
    """The continuous equations from our own kernels, for LSODA."""
    state = State(y[0], craft.gears.ratio * y[0], y[2], y[1], y[3], y[4], y[5], y[6], y[7], 1.0)
    acting = Acting(duty, collective_rad, 0.0, 0.0, 1.0, 0.0, math.nan)
    flow[TRIED] = y[8:]
    held = loads_at(craft, acting, NO_LOADS, (y[0], y[0], y[1], 1.0), flow)
    source = source_now(craft, y[3], y[4])
    point = point_at_duty(craft.motor, craft.controller, source, duty, state.motor_rad_s, y[5])
    out = np.empty(y.shape[0])
    out[0], out[1], out[2] = (
        locked_rate(craft, source, acting, held, state, y[0]),
        climb_rate(craft, state, acting, held),
        y[1],
    )
    out[3] = -point.pack_current_a / craft.pack.capacity_as
    out[4] = (point.pack_current_a * slow_resistance(craft, y[3]) - y[4]) / craft.pack.slow_time_s
    out[5], out[6], out[7] = warming(craft.heats, y[5], y[6], y[7], point, craft.body.air_k)
    out[8:] = flow[RATE]
    return out


def against_scipy() -> None:
    """A minute under a continuous PI governor: who is how far off, and how long it took."""
    bench = Bench(smooth=True, sample_s=1e-3, frame_s=1e-3)
    governor, craft, p = bench.ready.setting.governor, bench.ready.craft, plain(bench.ready.craft)
    gains = (governor.gain, governor.gain_per_s, governor.collective_duty_per_rad, bench.ready.set_rad_s[1])
    integral = bench.now.governor.integral
    start = np.append(plain_state(bench.now.state, bench.flow), integral)
    pitch = lambda t: collective(bench.trim, t)  # noqa: E731
    flow = np.zeros_like(bench.flow)
    quick = lambda _p, y, duty, c: compiled_rates(craft, np.ascontiguousarray(y), duty, c, flow)  # noqa: E731
    rows = round(END_S / 0.1) + 1
    times, true, _ = governed(p, gains, start, pitch, END_S, rows, rtol=1e-10, function=quick)

    def worst(at: np.ndarray, head: np.ndarray) -> float:
        return float(np.abs(np.interp(times[1:-1], at, head) - true[1:-1, 0]).max() * RPM)

    ours_s = math.inf
    for step_s in (1e-3, 2e-3, 4e-3, 8e-3):
        one = Bench(smooth=True, step_s=step_s, sample_s=step_s, frame_s=step_s)
        (taken,) = medians(one.ours, turns=11)
        error = worst(one.record[1:, 0], one.record[1:, 1])
        print(
            f"ours, step {1e3 * step_s:g} ms: {1e3 * taken:.1f} ms, worst error {error:.2g} rpm against LSODA at 1e-10"
        )
        if error <= WANTED_RPM:
            ours_s = min(ours_s, taken)
    print(f"at a worst error of {WANTED_RPM} rpm ours takes {1e3 * ours_s:.1f} ms")
    for name, method, function in (
        ("LSODA, compiled", "LSODA", quick),
        ("LSODA, numpy", "LSODA", None),
        ("RK45, numpy", "RK45", None),
    ):
        for rtol in (3e-2, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6):
            begin = time.thread_time()
            _, y, calls = governed(p, gains, start, pitch, END_S, rows, rtol=rtol, method=method, function=function)
            taken = time.thread_time() - begin
            error = worst(times, y[:, 0])
            if error <= WANTED_RPM:
                print(
                    f"{name}: {taken:.2f} s at rtol {rtol:g} ({calls} calls), worst error {error:.2g} rpm: "
                    f"{taken / ours_s:.0f} times ours"
                )
                break


@kernel
def many(craft, setting, now, rows, arrays, steps, part):  # type: ignore[no-untyped-def]
    """Fly many flights of masses that differ, and return the sum of their last head speeds."""
    total, (flow, memory, record) = 0.0, arrays
    for number in range(part[0], part[1]):
        body = craft.body
        heavier = type(body)(
            body.mass_kg * (1.0 + 1e-5 * number), body.drag_area_m2, body.head_kg_m2, body.motor_kg_m2,
            body.head_drag_nm, body.blades_on, body.tail_on_head, body.pack_k, body.air_k,
        )  # fmt: skip
        flown = type(craft)(
            craft.motor, craft.controller, craft.pack, craft.gears, craft.heats, craft.rotor, craft.section, craft.air,
            craft.tail, heavier,
        )  # fmt: skip
        _, end = fly(flown, setting, now, rows, flow.copy(), memory.copy(), record, steps)
        total += end.state.head_rad_s
    return total


def in_threads() -> None:
    """10,000 flights of half a second, on one core and on two."""
    bench = Bench(step_s=2e-3)
    flights, steps = 10_000, 250

    def part(first: int, last: int) -> float:
        record = np.empty_like(bench.record)
        arrays = (bench.flow, bench.memory, record)
        return float(many(bench.ready.craft, bench.ready.setting, bench.now, bench.rows, arrays, steps, (first, last)))

    def on(cores: int) -> None:
        edges = np.linspace(0, flights, cores + 1).astype(int)
        with ThreadPoolExecutor(cores) as pool:
            list(pool.map(part, edges[:-1].tolist(), edges[1:].tolist()))

    part(0, 2)
    one_s, two_s = medians(lambda: on(1), lambda: on(2), turns=3, clock=time.perf_counter)
    print(f"10,000 flights of 0.5 s: one core {one_s:.2f} s, two {two_s:.2f} s: {one_s / two_s:.2f} times")


FIRST = """
import time
begin = time.perf_counter()
from steadyhead.flight.engine import flown
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.machine.reading import read_machine
from steadyhead.machine.bundled import bundled
machine, scenario = read_machine(bundled("fox600")), read_scenario("climb_out")
ready = time.perf_counter()
flown(machine, scenario)
print(ready - begin, time.perf_counter() - ready, time.process_time())
"""


def from_cold() -> None:
    """First flight of a process: with an empty kernel cache, and with a full one."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "STEADYHEAD_CACHE": folder}
        for name in ("empty cache", "full cache", "full cache"):
            said = subprocess.run(
                [sys.executable, "-c", FIRST], env=environment, capture_output=True, text=True, check=True
            )
            imports, first, processor = (float(word) for word in said.stdout.split())
            print(
                f"{name}: imports {imports:.2f} s, first flight {first:.2f} s, processor time in all {processor:.2f} s"
            )


PARTS = {"c": against_c, "curve": error_curve, "scipy": against_scipy, "threads": in_threads, "cold": from_cold}

if __name__ == "__main__":
    for word in sys.argv[1:] or PARTS:
        PARTS[word]()
