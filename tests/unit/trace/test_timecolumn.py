"""Time in every form a logger writes it: each reads as the same 20 rows a second."""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.trace.unsure import UnsureColumns
from steadyhead.words.errors import InputError

N = 80
STEP_S = 0.05
START = datetime(2031, 3, 9, 10, 15, 30, 480000)
SPEED = [2000 + k % 3 for k in range(N)]
VOLTS = [f"{48.5 - 0.01 * k:.2f}" for k in range(N)]


def moments(start: datetime = START) -> list[datetime]:
    return [start + timedelta(seconds=STEP_S * k) for k in range(N)]


def as_clock(moment: datetime) -> str:
    return moment.strftime("%H:%M:%S.") + f"{moment.microsecond // 1000:03d}"


def bare_clock(moment: datetime) -> str:
    return f"{moment.hour}:{moment.minute}:{moment.second}.{moment.microsecond // 1000}"


ENDS_A_MINUTE = datetime(2031, 3, 9, 10, 15, 58, 480000)
LATE = moments(datetime(2031, 3, 9, 23, 59, 58))

FORMS: dict[str, tuple[list[str], list[list[str]]]] = {
    "seconds": (["time (s)"], [[f"{k * STEP_S:.2f}" for k in range(N)]]),
    "seconds from 12": (["time [s]"], [[f"{12.4 + k * STEP_S:.3f}" for k in range(N)]]),
    "milliseconds": (["elapsed (ms)"], [[str(50 * k) for k in range(N)]]),
    "microseconds": (["t (µs)"], [[str(50_000 * k + 77) for k in range(N)]]),
    "milliseconds without a unit": (["elapsed"], [[str(50 * k) for k in range(N)]]),
    "seconds without a unit": (["time"], [[f"{k * STEP_S:.2f}" for k in range(N)]]),
    "microseconds without a unit": (["timestamp"], [[str(50_000 * k) for k in range(N)]]),
    "microseconds without a unit, high in a counter": (
        ["stamp"],
        [[str(4_254_017_296 + 50_000 * k) for k in range(N)]],
    ),
    "microseconds behind a French word": (["Temps µs"], [[str(4_200_017_296 + 50_000 * k) for k in range(N)]]),
    "minutes": (["Zeit (min)"], [[f"{k * STEP_S / 60:.7f}" for k in range(N)]]),
    "epoch seconds": (["timestamp"], [[f"{START.timestamp() + k * STEP_S:.3f}" for k in range(N)]]),
    "epoch milliseconds": (["time"], [[f"{1_930_990_000_000 + 50 * k}" for k in range(N)]]),
    "epoch microseconds": (["time"], [[f"{1_930_990_000_000_000 + 50_000 * k}" for k in range(N)]]),
    "ISO with Z": (["when"], [[m.isoformat(timespec="milliseconds") + "Z" for m in moments()]]),
    "ISO with a zone": (["when"], [[m.isoformat(timespec="milliseconds") + "+02:00" for m in moments()]]),
    "ISO with a space": (["when"], [[str(m)[:-3] for m in moments()]]),
    "ISO over midnight": (["when"], [[m.isoformat() for m in moments(datetime(2031, 3, 9, 23, 59, 58, 100))]]),
    "day first": (["Zeitpunkt"], [[m.strftime("%d.%m.%Y ") + as_clock(m) for m in moments()]]),
    "clock": (["Uhrzeit"], [[as_clock(m) for m in moments()]]),
    "clock over midnight": (["clock"], [[as_clock(m) for m in moments(datetime(2031, 3, 9, 23, 59, 58))]]),
    "date and clock": (
        ["Date", "Time"],
        [[str(m.date()) for m in moments()], [as_clock(m) for m in moments()]],
    ),
    "date and clock over midnight": (
        ["Datum", "Uhrzeit"],
        [
            [m.strftime("%d.%m.%Y") for m in moments(datetime(2031, 3, 31, 23, 59, 58))],
            [as_clock(m) for m in moments(datetime(2031, 3, 31, 23, 59, 58))],
        ],
    ),
    "afternoon clock": (["time"], [[m.strftime("%I:%M:%S.") + f"{m.microsecond // 1000:03d} PM" for m in moments()]]),
    "minutes and seconds": (["time"], [[f"{k * STEP_S // 60:02.0f}:{k * STEP_S % 60:06.3f}" for k in range(N)]]),
    "counter that begins again": (["time (us)"], [[str((50_000 * k + 2**32 - 10**6) % 2**32) for k in range(N)]]),
    "milliseconds of 16 bits": (["time (ms)"], [[str((50 * k + 2**16 - 1000) % 2**16) for k in range(N)]]),
    "clock without zeros": (["time"], [[bare_clock(m) for m in moments()]]),
    "clock without zeros, a third colon": (["time"], [[bare_clock(m).replace(".", ":") for m in moments()]]),
    "clock in figures alone": (["time"], [[as_clock(m).replace(":", "") for m in moments(ENDS_A_MINUTE)]]),
    "date and clock in figures alone": (
        ["date", "time"],
        [
            [m.strftime("%y%m%d") for m in moments(datetime(2031, 3, 9, 23, 59, 58))],
            [as_clock(m).replace(":", "") for m in moments(datetime(2031, 3, 9, 23, 59, 58))],
        ],
    ),
    "month first over midnight": (
        ["date", "time"],
        [
            [m.strftime("%m/%d/%Y") for m in moments(datetime(2031, 5, 3, 23, 59, 58))],
            [as_clock(m) for m in moments(datetime(2031, 5, 3, 23, 59, 58))],
        ],
    ),
    "hours, minutes and seconds over midnight": (
        ["hour", "min", "sec"],
        [
            *([str(getattr(m, part)) for m in LATE] for part in ("hour", "minute")),
            [f"{m.second + m.microsecond / 1e6:.3f}" for m in LATE],
        ],
    ),
    "month as a word": (["time"], [[m.strftime("%d-May-%Y ") + as_clock(m) for m in moments()]]),
    "month as a German word": (["Zeit"], [[m.strftime("%d. Mär. %Y ") + as_clock(m) for m in moments()]]),
    "weekday and month as words": (["time"], [[f"Sun Mar {m.day:2d} {as_clock(m)} 2031" for m in moments()]]),
    "nothing said, first column": (["x"], [[f"{k * STEP_S:.2f}" for k in range(N)]]),
}


@pytest.mark.parametrize("form", FORMS)
def test_time_reads_the_same_in_every_form(form: str, log: Callable[..., Path]) -> None:
    headings, columns = FORMS[form]
    path = log([*headings, "head speed (rpm)", "voltage (V)"], *columns, SPEED, VOLTS, delimiter=";")
    trace = read_trace(path)
    assert trace.rows_read == N
    assert trace.time_s == pytest.approx(np.arange(N) * STEP_S, abs=2e-3), trace.history
    assert trace.has("head_speed_rpm")
    assert trace.has("pack_voltage_v")
    assert trace.warnings == ()


def test_a_coarse_clock_spreads_its_rows_evenly(log: Callable[..., Path]) -> None:
    path = log(["clock", "head speed (rpm)"], [m.strftime("%H:%M:%S") for m in moments()], SPEED)
    trace = read_trace(path)
    assert trace.time_s.size == N
    assert np.diff(trace.time_s)[20:60] == pytest.approx(np.full(40, STEP_S), rel=0.2)
    assert any("steps of 1 s" in step for step in trace.history)


@pytest.mark.parametrize("timer_first", [True, False])
def test_of_two_times_the_finer_one_is_read(timer_first: bool, log: Callable[..., Path]) -> None:
    timer = ("flight time (s)", [k // 20 for k in range(N)])
    clock = ("clock", [as_clock(m) for m in moments()])
    (one, ones), (two, twos) = (timer, clock) if timer_first else (clock, timer)
    trace = read_trace(log([one, two, "head speed (rpm)"], ones, twos, SPEED))
    assert trace.time_s == pytest.approx(np.arange(N) * STEP_S, abs=2e-3)


def test_milliseconds_are_read_beside_a_clock_of_whole_seconds(log: Callable[..., Path]) -> None:
    clock = [m.strftime("%H:%M:%S") for m in moments()]
    trace = read_trace(log(["clock", "time (ms)", "head speed (rpm)"], clock, [50 * k for k in range(N)], SPEED))
    assert trace.time_s == pytest.approx(np.arange(N) * STEP_S, abs=2e-3)


def test_a_count_of_rows_is_asked_about_and_then_read_by_its_rate(log: Callable[..., Path]) -> None:
    path = log(["sample", "head speed (rpm)", "voltage (V)"], range(N), SPEED, VOLTS)
    with pytest.raises(UnsureColumns, match='--column "sample=time_s:50 Hz"'):
        read_trace(path)
    trace = read_trace(path, mapping={"sample": "time_s:20 Hz"}, remember=False)
    assert trace.duration_s == pytest.approx((N - 1) * STEP_S)


def test_a_time_whose_steps_fit_two_units_is_asked_about(log: Callable[..., Path]) -> None:
    path = log(["time", "head speed (rpm)"], [1000 * k for k in range(N)], SPEED)
    with pytest.raises(UnsureColumns, match="time"):
        read_trace(path)
    assert read_trace(path, mapping={"time": "time_s:ms"}, remember=False).duration_s == pytest.approx(N - 1)


def test_a_log_without_any_time_says_how_to_name_one(log: Callable[..., Path]) -> None:
    path = log(["head speed (rpm)", "voltage (V)"], SPEED, VOLTS)
    with pytest.raises(InputError, match="no time column"):
        read_trace(path)


def test_a_time_that_stands_still_is_refused(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "head speed (rpm)"], ["1.5"] * N, SPEED)
    with pytest.raises(InputError, match="time does not move"):
        read_trace(path)


def test_parts_of_a_second_without_their_last_zeros_are_decimals(log: Callable[..., Path]) -> None:
    path = log(["time", "head speed (rpm)"], [as_clock(m).rstrip("0") for m in moments()], SPEED)
    assert read_trace(path).time_s == pytest.approx(np.arange(N) * STEP_S, abs=2e-3)


def test_seconds_that_only_pass_a_hundred_are_no_clock(log: Callable[..., Path]) -> None:
    stamps = [*(f"{30 + k * STEP_S:.2f}" for k in range(N // 2)), *(f"{130 + k * STEP_S:.2f}" for k in range(N // 2))]
    assert read_trace(log(["time", "head speed (rpm)"], stamps, SPEED)).duration_s > 100.0
