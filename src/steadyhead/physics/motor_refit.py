"""Motor constants from bench readings: plain least squares, with how far they can be trusted."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Readings = NDArray[np.float64]

FEWEST_ROWS = 4
"""Two constants are fitted; with fewer rows than this the doubt on them means nothing."""


@dataclass(frozen=True, kw_only=True)
class MotorRefit:
    """Kv and the resistance of the whole path from where the voltage was read, with standard errors. SI."""

    kv_rad_s_v: float
    kv_error_rad_s_v: float
    resistance_ohm: float
    resistance_error_ohm: float
    """Jackknife: every row left out in turn."""
    rms_residual_rad_s: float
    rms_residual_percent: float
    """Root mean square of each residual over its own reading."""
    rows: int
    told_apart: bool
    """Whether the readings hold enough spread to tell resistance from Kv: resistance above twice its error."""


def motor_refit(voltage_v: Readings, current_a: Readings, speed_rad_s: Readings) -> MotorRefit:
    """Kv, rad/s per V, and resistance, ohm, that fit full-duty bench readings best.

    w = kv * (v - i * r), least squares in kv and kv * r
    Shapes: voltage_v (n,), current_a (n,), speed_rad_s (n,)
    Valid: duty 1, one winding temperature; r holds motor, controller and leads up to where v was read.
    Raises: ValueError when the shapes differ, rows are few, a reading is no number or not above zero, or current goes
    with voltage.
    Source: ordinary least squares and jackknife; any statistics textbook.
    """
    check_readings(voltage_v, current_a, speed_rad_s)
    design = np.column_stack((voltage_v, -current_a)).astype(np.float64)
    answer = fitted(design, speed_rad_s)
    residual = speed_rad_s - design @ answer
    rms = float(np.sqrt(np.mean(residual**2)))
    resistance = float(answer[1] / answer[0])
    error = resistance_error(design, speed_rad_s)
    return MotorRefit(
        kv_rad_s_v=float(answer[0]),
        kv_error_rad_s_v=kv_error(design, residual),
        resistance_ohm=resistance,
        resistance_error_ohm=error,
        rms_residual_rad_s=rms,
        rms_residual_percent=100.0 * float(np.sqrt(np.mean((residual / speed_rad_s) ** 2))),
        rows=len(speed_rad_s),
        told_apart=resistance > 2.0 * error,
    )


def fitted(design: Readings, speed_rad_s: Readings) -> Readings:
    """Kv and Kv * r by least squares, SI."""
    return np.linalg.lstsq(design, speed_rad_s, rcond=None)[0].astype(np.float64)


def kv_error(design: Readings, residual_rad_s: Readings) -> float:
    """Standard error of Kv from the scatter of the rows, rad/s per V."""
    variance = float(residual_rad_s @ residual_rad_s) / (len(residual_rad_s) - 2)
    return float(np.sqrt(variance * np.linalg.inv(design.T @ design)[0, 0]))


def resistance_error(design: Readings, speed_rad_s: Readings) -> float:
    """Standard error of the resistance by the jackknife, ohm."""
    rows = len(speed_rad_s)
    kept = [fitted(np.delete(design, row, axis=0), np.delete(speed_rad_s, row)) for row in range(rows)]
    resistances = np.array([answer[1] / answer[0] for answer in kept])
    return float(np.sqrt((rows - 1) / rows * np.sum((resistances - resistances.mean()) ** 2)))


def check_readings(voltage: Readings, current: Readings, speed: Readings) -> None:
    """Refuse readings that no fit can be made of.

    Raises: ValueError that says which.
    """
    if not voltage.shape == current.shape == speed.shape or voltage.ndim != 1:
        raise ValueError("voltage, current and speed must be three columns of one length")
    if len(speed) < FEWEST_ROWS:
        raise ValueError(f"{len(speed)} readings are too few: take {FEWEST_ROWS} or more at different loads")
    if not bool(np.all(np.isfinite(np.concatenate((voltage, current, speed))))):
        raise ValueError("a reading is not a number")
    if bool(np.any(speed <= 0.0)):
        raise ValueError("every reading needs a speed above zero")
    if np.linalg.cond(np.column_stack((voltage, current))) > 1e6:
        raise ValueError("current rises in step with voltage: take readings with different loads at one voltage")
