"""The rows of a study: each depends on seed and number alone; Sobol indices against their published test functions."""

import numpy as np
import pytest

from steadyhead.study import design
from steadyhead.study.asked import Collects, Question, Study, Swept, Varied
from steadyhead.study.influence import RESAMPLES, indices, spread_of_indices
from steadyhead.study.uniforms import philox, uniforms
from tests.agrees import agrees

N = 2048


def study_of(question: Question, inputs: int, draws: int, swept: tuple[Swept, ...] = ()) -> Study:
    return Study(
        name="s", source="s.toml", machine_name="m.toml", machine_text="", collects=Collects.PLAN, scenario="",
        readings=(), question=question, check="", figure="head_room", against=("a", "b"), draws=draws, seed=7,
        needed_share=0.9, swept=swept,
        varied=tuple(Varied(key=f"k{n}", value_si=1.0, half_width_si=0.1, unit="") for n in range(inputs)),
    )  # fmt: skip


def table(values: Question, inputs: int) -> np.ndarray:
    rows = design.rows(study_of(values, inputs, N), 0, N * (inputs + 2))
    half_widths = np.array([row.half_widths for row in rows])
    from scipy.special import ndtr

    return ndtr(half_widths * design.HALF_WIDTH_SIGMAS)


@pytest.fixture(scope="module")
def three_inputs() -> np.ndarray:
    return table(Question.SENSITIVITY, 3)


def test_a_row_is_the_same_however_the_rows_are_cut():
    study = study_of(Question.VERDICT, 4, 50)
    whole = design.rows(study, 0, 50)
    assert whole == [*design.rows(study, 0, 17), *design.rows(study, 17, 18), *design.rows(study, 18, 50)]
    assert len({row.half_widths for row in whole}) == 50


def test_the_draws_of_many_rows_are_those_of_the_generator_one_by_one():
    """numpy's own Philox with the key (seed, row), after Salmon et al. 2011: more than a block, and great numbers."""
    seed, numbers = 2**63 - 1, np.array([0, 1, 7, 10**12, 2**62])
    for count in (1, 4, 11):
        alone = [np.random.Generator(np.random.Philox(key=[seed, n])).random(count) for n in numbers.tolist()]
        assert np.array_equal(uniforms(seed, numbers, count), np.array(alone))


def test_the_generator_gives_the_words_that_its_authors_publish():
    """Random123's known answers of philox4x64, 10 rounds, counter and key all zero; from memory."""
    words = philox(0, np.zeros(1, np.uint64), 0)[0].tolist()
    assert words == [0x16554D9ECA36314C, 0xDB20FE9D672D0FDC, 0xD7E772CEE186176B, 0x7E68B68AEC7BA23B]


def test_a_row_of_the_mixed_design_is_a_b_or_a_with_one_input_of_b():
    """Saltelli et al. 2010, table 2, design (b), row by row from scipy's own sequence."""
    from scipy.stats import qmc

    points = qmc.Sobol(6, scramble=True, seed=np.random.default_rng(7)).random_base2(3)
    told = design.mixed(7, np.arange(40), 3)
    for base in range(8):
        a, b = points[base, :3], points[base, 3:]
        swapped = [np.where(np.arange(3) == number, b, a) for number in range(3)]
        assert np.array_equal(told[5 * base : 5 * base + 5], np.array([a, b, *swapped]))


def test_draws_lie_within_the_half_width_nine_times_in_ten():
    rows = design.rows(study_of(Question.VERDICT, 5, 2000), 0, 2000)
    inside = np.mean(np.abs(np.array([row.half_widths for row in rows])) <= 1.0)
    assert agrees(float(inside), 0.9, percent=1.5, because="10000 draws: a standard error of 0.33 %")


def test_every_point_of_a_grid_sees_the_same_draws():
    swept = (Swept(key="gears.pinion_teeth", values=(12.0, 13.0), said=("12", "13")),)
    study = study_of(Question.VERDICT, 2, 5, swept)
    rows = design.rows(study, 0, design.size(study))
    assert [row.point for row in rows] == [0] * 5 + [1] * 5
    assert [row.half_widths for row in rows[:5]] == [row.half_widths for row in rows[5:]]


def test_the_worst_question_visits_every_corner_once():
    study = study_of(Question.WORST, 3, 9)
    corners = {row.half_widths for row in design.rows(study, 0, design.size(study))}
    assert len(corners) == design.size(study) == 8
    assert {abs(one) for corner in corners for one in corner} == {1.0}


def test_indices_of_the_ishigami_function(three_inputs):
    """Ishigami and Homma 1990, a = 7, b = 0.1; its indices follow in closed form from the variances."""
    from SALib.analyze import sobol
    from SALib.test_functions import Ishigami

    values = Ishigami.evaluate(-np.pi + 2.0 * np.pi * three_inputs)
    first, total = indices(values.reshape(N, 5))
    a, b, pi = 7.0, 0.1, np.pi
    whole = a**2 / 8 + b * pi**4 / 5 + b**2 * pi**8 / 18 + 0.5
    true_first = np.array([0.5 * (1 + b * pi**4 / 5) ** 2, a**2 / 8, 0.0]) / whole
    true_total = true_first + np.array([1.0, 0.0, 1.0]) * b**2 * pi**8 * (1 / 18 - 1 / 50) / whole
    for got, true in [(first[0], true_first[0]), (first[1], true_first[1]), *zip(total, true_total, strict=True)]:
        assert agrees(float(got), float(true), percent=3, because="2048 points of a Sobol sequence")
    assert abs(first[2]) < 0.02
    theirs = sobol.analyze(
        {"num_vars": 3, "names": ["a", "b", "c"], "bounds": [[0, 1]] * 3}, _as_salib(values, 3), False,
        num_resamples=2, seed=1,
    )  # fmt: skip
    assert theirs["ST"] == pytest.approx(total, rel=2e-3)
    assert theirs["S1"] == pytest.approx(first, abs=5e-3)


def _as_salib(values: np.ndarray, inputs: int) -> np.ndarray:
    """Their blocks are A, A with one column of B, B; ours A, B, A with one column of B."""
    blocks = values.reshape(N, inputs + 2)
    return np.concatenate((blocks[:, :1], blocks[:, 2:], blocks[:, 1:2]), axis=1).reshape(-1)


def test_indices_of_the_sobol_g_function():
    """Saltelli and Sobol 1995, a = (0, 1, 4.5, 9, 99, 99, 99, 99); closed form in Saltelli et al. 2010."""
    from SALib.test_functions import Sobol_G

    a = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])
    values = Sobol_G.evaluate(table(Question.SENSITIVITY, 8), a)
    first, total = indices(values.reshape(N, 10))
    part = 1 / 3 / (1 + a) ** 2
    whole = np.prod(1 + part) - 1
    for number in range(3):
        true_total = part[number] * np.prod(1 + np.delete(part, number)) / whole
        because = "2048 points of a Sobol sequence over eight inputs"
        assert agrees(float(first[number]), float(part[number] / whole), percent=8, because=because)
        assert agrees(float(total[number]), float(true_total), percent=5, because=because)
    assert max(total[4:]) < 0.01


def test_the_interval_of_an_index_holds_it_and_comes_out_the_same_again(three_inputs):
    from SALib.test_functions import Ishigami

    blocks = Ishigami.evaluate(-np.pi + 2.0 * np.pi * three_inputs).reshape(N, 5)[:256]
    ends = spread_of_indices(blocks, 1)
    assert np.array_equal(ends, spread_of_indices(blocks, 1))
    assert np.all(ends[:, 0] < ends[:, 1])
    assert ends[0, 0, 1] < 0.442 < ends[0, 1, 1]


def test_the_intervals_of_the_indices_are_those_of_drawing_the_blocks_again(three_inputs):
    """The slow way: whole blocks drawn again and again, each time scipy's own indices of them."""
    from SALib.test_functions import Ishigami

    blocks = 1000.0 + Ishigami.evaluate(-np.pi + 2.0 * np.pi * three_inputs).reshape(N, 5)[:256]
    random = np.random.default_rng(3)
    again = np.array([indices(blocks[random.integers(0, 256, 256)]) for _ in range(RESAMPLES)])
    slow = np.moveaxis(np.quantile(again, (0.05, 0.95), axis=0), 0, 1)
    assert spread_of_indices(blocks, 3) == pytest.approx(slow, rel=1e-7, abs=1e-9)
