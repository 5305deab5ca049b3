import numpy as np
import pytest

from steadyhead.physics.motor_refit import motor_refit


def readings(noise: float = 0.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(20260)
    volts = np.array([22.0, 21.5, 20.9, 22.1, 21.0, 20.2, 24.0, 23.1])
    amps = np.array([10.0, 25.0, 44.0, 8.0, 60.0, 90.0, 15.0, 52.0])
    return volts, amps, 50.0 * (volts - 0.018 * amps) + noise * rng.normal(size=8)


def test_exact_readings_give_back_the_motor():
    fit = motor_refit(*readings())
    assert fit.kv_rad_s_v == pytest.approx(50.0, rel=1e-9)
    assert fit.resistance_ohm == pytest.approx(0.018, rel=1e-9)
    assert fit.told_apart


def test_the_truth_lies_within_three_stated_errors_of_noisy_readings():
    fit = motor_refit(*readings(noise=4.0))
    assert abs(fit.kv_rad_s_v - 50.0) < 3.0 * fit.kv_error_rad_s_v
    assert abs(fit.resistance_ohm - 0.018) < 3.0 * fit.resistance_error_ohm


def test_readings_too_rough_to_tell_resistance_from_kv_say_so():
    volts, amps, speed = readings(noise=4.0)
    light = 0.02 * amps
    scatter = speed - 50.0 * (volts - 0.018 * amps)
    assert not motor_refit(volts, light, 50.0 * (volts - 0.018 * light) + scatter).told_apart


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda v, i, w: (v[:3], i[:3], w[:3]), "too few"),
        (lambda v, i, w: (v, i[:5], w), "one length"),
        (lambda v, i, w: (v * np.nan, i, w), "not a number"),
        (lambda v, i, w: (v, i, w * 0.0), "above zero"),
        (lambda v, i, w: (v, v * 3.0, w), "in step"),
    ],
)
def test_readings_that_cannot_be_fitted_are_refused(change, says):
    with pytest.raises(ValueError, match=says):
        motor_refit(*change(*readings()))
