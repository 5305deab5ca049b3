"""A certified straight-line fit: NIST StRD "Norris" (source in tests/data/channel/norris_certified.csv).

Read: 36 pairs with equal weight; certified values from the file's own head, typed here.
"""

import math

import numpy as np

from steadyhead.channel.line_fit import Points, affine
from tests.agrees import agrees
from tests.channel_rows import channel_rows

CERTIFIED = {
    "intercept": -0.262323073774029,
    "intercept_deviation": 0.232818234301152,
    "slope": 1.00211681802045,
    "slope_deviation": 0.429796848199937e-03,
    "residual_deviation": 0.884796396144373,
    "residual_sum": 26.6173985294224,
}
DOUBLE = "certified to 15 digits; double precision keeps 9 of them here"


def test_our_line_is_the_certified_one() -> None:
    rows = channel_rows("norris_certified.csv")
    x = np.array([float(row["x"]) for row in rows])
    y = np.array([float(row["y"]) for row in rows])
    order = np.argsort(x)
    line = affine(Points(x[order], y[order], np.ones(x.size), stated=True))
    scatter = math.sqrt(line.misfit / line.freedom)
    got = {
        "intercept": line.rpm(0.0),
        "intercept_deviation": line.deviation_rpm(0.0) * scatter,
        "slope": line.slope_rpm_per_percent,
        "slope_deviation": math.sqrt(line.slope_variance) * scatter,
        "residual_deviation": scatter,
        "residual_sum": line.misfit,
    }
    assert line.freedom == 34
    for name, certified in CERTIFIED.items():
        assert agrees(got[name], certified, percent=1e-7, because=DOUBLE), name
