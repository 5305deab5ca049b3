import numpy as np

from steadyhead.report.figures.thinning import thinned


def test_a_short_trace_is_drawn_as_it_is() -> None:
    time_s = np.arange(10.0)
    xs, ys = thinned(time_s, time_s, most=10)
    assert xs is time_s
    assert ys is time_s


def test_every_peak_of_a_long_trace_is_kept() -> None:
    random = np.random.default_rng(11)
    values = random.normal(size=100_000)
    values[[137, 50_001, 99_998]] = (40.0, -50.0, 60.0)
    xs, ys = thinned(np.arange(values.size, dtype=np.float64), values, most=2000)
    assert ys.size <= 2000
    assert {40.0, -50.0, 60.0} <= set(ys)
    assert np.all(np.diff(xs) > 0)


def test_a_gap_in_the_trace_stays_a_gap() -> None:
    values = np.ones(10_000)
    values[4000:6000] = np.nan
    xs, ys = thinned(np.arange(10_000.0), values, most=200)
    inside = (xs >= 4100) & (xs < 5900)
    assert inside.any()
    assert np.isnan(ys[inside]).all()
