"""The profile's ends against those of lmfit's `conf_interval` (lmfit 1.3.4) on a curve that is far from straight."""

import math

import numpy as np
import pytest

from steadyhead.learn.fit import Balance, Fitted, fit
from steadyhead.learn.model import Block, Numbers
from steadyhead.learn.profile import ends
from steadyhead.learn.unknowns import Unknown, of_spread
from tests.agrees import agrees

SCATTER = 0.05
TIME = np.linspace(0.2, 2.2, 24)
SEEN = 1.0 - np.exp(-0.55 * TIME) + SCATTER * np.random.default_rng(8).normal(size=TIME.size)


class Saturating:
    """y = top (1 - exp(-rate t)), seen before it comes near its top: top and rate are hardly told apart."""

    def balances(self) -> tuple[Balance, ...]:
        return (self.blocks,)

    def blocks(self, n: Numbers) -> list[Block]:
        return [Block(name="y", left=SEEN - n["top"] * (1.0 - np.exp(-n["rate"] * TIME)), floor=SCATTER)]


class Straight:
    """y = a + b t: the profile of a straight problem is the straight estimate."""

    def balances(self) -> tuple[Balance, ...]:
        return (self.blocks,)

    def blocks(self, n: Numbers) -> list[Block]:
        return [Block(name="y", left=SEEN - n["a"] - n["b"] * TIME, floor=SCATTER)]


@pytest.fixture(scope="module")
def made() -> Fitted:
    unknowns = [
        Unknown(name=name, log=True, centre=math.log(start), sd=200.0, low=-20.0, high=20.0, learned=True)
        for name, start in (("top", 1.0), ("rate", 0.5))
    ]
    return fit([Saturating()], unknowns)


def theirs(made: Fitted) -> dict[str, tuple[float, float]]:
    """How far lmfit's ends reach below and above, at the rise of the sum of squares that nine in ten stay under."""
    import lmfit

    # The weight is taken from our fit: the search for the ends is compared, not the scatter.
    weight = abs(float(made.left(made.fitted)[0] / made.blocks[0].left[0]))

    def left(p: lmfit.Parameters) -> np.ndarray:
        return weight * (SEEN - np.exp(p["top"]) * (1.0 - np.exp(-np.exp(p["rate"]) * TIME)))

    def chance(best: lmfit.minimizer.MinimizerResult, other: lmfit.minimizer.MinimizerResult) -> float:
        return math.erf(math.sqrt(max(other.chisqr - best.chisqr, 0.0) / 2.0))

    start = lmfit.Parameters()
    start.add("top", value=0.0)
    start.add("rate", value=math.log(0.5))
    search = lmfit.Minimizer(left, start, scale_covar=False)
    best = search.minimize()
    found = lmfit.conf_interval(search, best, sigmas=[0.9], prob_func=chance)
    return {name: (best.params[name].value - rows[0][1], rows[-1][1] - best.params[name].value)
            for name, rows in found.items()}  # fmt: skip


def test_the_ends_are_those_of_lmfit_where_the_straight_estimate_is_wrong(made: Fitted) -> None:
    peer = theirs(made)
    moved = []
    for name, (below, above) in peer.items():
        ours, half = ends(made, name), made.half(name)
        for mine, other in ((ours.below, below), (ours.above, above)):
            if abs(other / half - 1.0) > 0.25:
                moved.append(mine)
                assert agrees(mine, other, percent=3.0, because="an end is found when its cost is within 2 %")
            elif abs(other / half - 1.0) < 0.15:
                assert mine == half
        assert ours.moved == ((ours.below, ours.above) != (half, half))
    assert len(moved) >= 2


def test_a_straight_problem_keeps_its_straight_ends() -> None:
    made = fit([Straight()], [of_spread("a", 0.0, 100.0), of_spread("b", 0.0, 100.0)])
    for name in ("a", "b"):
        assert ends(made, name) == (made.half(name), made.half(name), False)
