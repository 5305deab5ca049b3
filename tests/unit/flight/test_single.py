"""Kernels rewritten in single precision: nothing double is left in them, and a bail-out stays what it was."""

import numba
import numpy as np
import pytest

from speed.single import Singled, single
from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import base_case, ready
from steadyhead.flight.bail_out_drawn import drawn_cases
from steadyhead.flight.bail_out_flight import bail_out
from steadyhead.flight.bail_out_height import flown, granted
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.governor import quantised

pytestmark = pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="types are known only to the compiler")
FLIGHTS = 40
SINGLE_STEP_M = float(np.spacing(np.float32(columns.START_M)))
compiler = numba.njit(error_model="numpy")


def double_names(made):
    """Names that hold a double number in any compiled kernel."""
    kinds = [one.type_annotation.typemap for kernel in made for one in kernel.overloads.values()]
    return [name for kind in kinds for name, held in kind.items() if held == numba.types.float64]


def test_a_whole_number_that_meets_a_broken_one_would_turn_double():
    speed, step = np.float32(100.3), np.float32(0.25)
    plain, singled = compiler(quantised.py_func), Singled(compiler)
    assert isinstance(plain(speed, step), float)
    assert double_names([plain])
    assert singled(quantised)(speed, step) == pytest.approx(100.25)
    assert not double_names(singled.made.values())


def test_a_bail_out_in_single_precision_stays_what_it_was():
    own = ready(read_machine(bundled("fox600")), 1)
    cases = granted(own, drawn_cases(own, base_case(own, 0.0), FLIGHTS))
    told, lone = flown(own, cases), np.zeros((FLIGHTS, len(columns.TOLD)), np.float32)
    singled = Singled(compiler)
    fly, scratch, record = singled(bail_out), np.zeros(79, np.float32), np.zeros((0, 8), np.float32)
    same = [single(one) for one in (own.craft, own.map, own.setting, own.limits)]
    for case, out in zip(single(cases), lone, strict=True):
        fly(*same, case, scratch, out, record)
    assert not double_names(singled.made.values())
    assert np.array_equal(told[:, columns.CODE], lone[:, columns.CODE])
    level = told[:, columns.CODE] == columns.LEVEL_REACHED
    assert level.sum() > FLIGHTS / 2
    apart = np.abs(told[level, columns.LOST] - lone[level, columns.LOST])
    # A threshold missed by a hair moves the pilot by one look of 20 ms, when the motor is up and again when he pulls;
    # and every step may round the height by half of what single numbers stand apart at 1000 m.
    steps = told[level, columns.TIME] / own.setting.clock.step_s
    within = 2.0 * columns.TICK_S * cases[level, columns.SINK] + 0.5 * SINGLE_STEP_M * steps
    assert np.all(apart < within)
    # Nine in ten do not miss a threshold: there rounding alone is left.
    assert np.quantile(apart, 0.9) < np.median(0.5 * SINGLE_STEP_M * steps)
    assert apart.max() > 1e-6
