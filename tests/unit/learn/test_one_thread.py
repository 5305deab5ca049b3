"""A fit keeps its linear algebra to one thread: on a busy machine, threads that wait for each other cost far more."""

import numpy as np
import scipy.linalg
from threadpoolctl import threadpool_info

from steadyhead.learn.fit import Balance, fit
from steadyhead.learn.model import Block, Numbers
from steadyhead.learn.unknowns import Unknown


class Watched:
    """One number, seen twice; notes how many threads linear algebra may take each time it is asked."""

    def __init__(self) -> None:
        self.threads: list[int] = []

    def balances(self) -> tuple[Balance, ...]:
        return (self.blocks,)

    def blocks(self, n: Numbers) -> list[Block]:
        self.threads.append(max(pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"))
        return [Block(name="y", left=np.array([1.0, 1.1]) - n["a"], floor=0.1)]


def test_a_fit_takes_one_thread_and_gives_the_others_back() -> None:
    assert scipy.linalg.norm([3.0, 4.0]) == 5.0  # its library is loaded from here on
    before = threadpool_info()
    watched = Watched()
    fit([watched], [Unknown(name="a", log=False, centre=0.5, sd=10.0, low=-9.0, high=9.0, learned=True)], rounds=1)
    inside = watched.threads[1:-1]
    assert len(inside) > 3
    assert set(inside) == {1}
    assert threadpool_info() == before
