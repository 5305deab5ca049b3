"""What rows say: shares, fronts, corners; and what a study file refuses."""

import numpy as np
import pytest
from scipy.stats import binomtest

from steadyhead.study.chart import study_chart
from steadyhead.study.questions import front, pass_interval
from steadyhead.study.run import worked_out
from steadyhead.study.study_file import read_study
from steadyhead.words.errors import InputError
from tests.agrees import agrees


def test_the_interval_of_a_share_is_that_of_clopper_and_pearson():
    """NIST/SEMATECH e-Handbook 7.2.4.1: 4 defectives in 20, 90 % limits 0.071354 and 0.401029; from memory."""
    low, high = pass_interval(4, 20)
    assert agrees(low, 0.071354, percent=0.01, because="the handbook gives six digits")
    assert agrees(high, 0.401029, percent=0.01, because="the handbook gives six digits")


def test_the_interval_of_a_share_is_that_of_scipy_at_both_ends_too():
    for passed, machines in ((0, 7), (7, 7), (1, 200), (99_990, 100_000)):
        ends = binomtest(passed, machines).proportion_ci(confidence_level=0.9, method="exact")
        assert pass_interval(passed, machines) == pytest.approx((ends.low, ends.high), rel=1e-9)


def test_nobody_on_the_front_is_beaten_and_everybody_off_it_is():
    pairs = np.array([[1.0, 5.0], [2.0, 4.0], [2.0, 4.0], [1.5, 4.5], [1.0, 4.0], [3.0, 1.0], [np.nan, 9.0]])
    assert front(pairs).tolist() == [True, True, True, True, False, True, False]


def written(tmp_path, text: str):
    path = tmp_path / "s.toml"
    path.write_text(text, "utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('machine = "fox600"\nqestion = "worst"', 'qestion: read unknown key "qestion"; did you mean question?'),
        ('machine = "fox600"\nquestion = "worse"', "did you mean worst?"),
        ('machine = "fox600"\nspreads = ["motor.kw"]', "did you mean motor.kv?"),
        ('machine = "fox600"\n[vary]\nmotor.kv = "560 rpm/V +- 0 rpm/V"', "a spread, such as"),
        ('machine = "fox600"\n[sweep]\ngears.pinion_teeth = [12.5]', "a whole number of teeth"),
        ('machine = "fox600"\n[sweep]\npack = ["no such"]', "read \"no such\""),
        ('machine = "fox600"\n[vary]\npilot_delay = "0.3 s +- 0.1 s"', 'collect = "fly"'),
        ('machine = "fox600"\nquestion = "worst"', "at most 12"),
        ('machine = "fox600"\nquestion = "sensitivity"\ndraws = 100', "a power of two"),
        ('machine = "fox600"\nspreads = []', "spreads, [vary] or [sweep]"),
        ('machine = "fox600"\nquestion = "trade"', "pinions, packs or gains"),
        ('machine = "gone.toml"', "no such file"),
        ('machine = "fox600"\ndraws = true', "a whole number from 1"),
        ("machine = ", "no TOML"),
    ],
)  # fmt: skip
def test_a_study_that_cannot_be_is_refused_in_one_sentence(tmp_path, text, says):
    with pytest.raises(InputError) as refused:
        read_study(written(tmp_path, text))
    assert says in str(refused.value)


def test_a_spread_of_the_study_takes_the_place_of_the_machine_s(tmp_path):
    text = 'machine = "fox600"\nspreads = ["motor.kv"]\n[vary]\nmotor.kv = "500 rpm/V +- 50 rpm/V"'
    (kv,) = read_study(written(tmp_path, text)).varied
    assert agrees(kv.half_width_si / kv.value_si, 0.1, percent=0.001, because="50 of 500")


def test_the_front_is_that_of_comparing_every_pair():
    pairs = np.random.default_rng(41).integers(0, 12, (150, 2)).astype(np.float64)
    slow = [not any(a >= x and b >= y and (a > x or b > y) for a, b in pairs.tolist()) for x, y in pairs.tolist()]
    assert front(pairs).tolist() == slow
    assert 0 < sum(slow) < len(slow)


def test_the_worst_corner_is_that_of_trying_every_corner(tmp_path):
    """Plan itself at all four corners, worked out one by one from the machine file."""
    from itertools import product

    from steadyhead.machine.bundled import bundled
    from steadyhead.machine.reading import read_machine
    from steadyhead.plan.steady import plan
    from steadyhead.study.drawn_machine import exact
    from steadyhead.study.questions import answered

    keys = ("airframe.mass", "motor.kv")
    study = read_study(written(tmp_path, f'machine = "wren450"\nquestion = "worst"\nspreads = {list(keys)}'))
    corner = answered(study, worked_out(study, tmp_path, workers=1)).worst
    machine = read_machine(bundled("wren450"))
    least = {}
    for ends in product(("low", "high"), repeat=2):
        numbers = {
            key: machine.value(key).si + (1.0 if end == "high" else -1.0) * machine.value(key).spread_si
            for key, end in zip(keys, ends, strict=True)
        }
        rooms = [one.head_room for mode in plan(exact(machine.replaced(numbers))).modes for one in mode.conditions]
        least[ends] = min(rooms)
    worst_ends = min(least, key=lambda ends: least[ends])
    assert corner.at == dict(zip(keys, worst_ends, strict=True))
    assert agrees(corner.value, least[worst_ends], percent=1e-6, because="the same kernels")
    (bar,) = study_chart(answered(study, worked_out(study, tmp_path, workers=1))).bars
    assert bar.interval == (bar.value, bar.value), "every corner was flown: nothing was drawn that could be counted"


def test_a_study_of_the_channel_draws_what_the_channel_doubts(tmp_path):
    """The bundled machine states its channel without a spread: a draw of its motor would change nothing."""
    with pytest.raises(InputError, match="nothing that varies"):
        read_study(written(tmp_path, 'machine = "fox600"\ncollect = "channel"'))
    text = 'machine = "fox600"\ncollect = "channel"\ndraws = 20\n[vary]\nchannel.start = "22 % +- 4 %"'
    rows = worked_out(read_study(written(tmp_path, text)), tmp_path, workers=1).to_dicts()
    delays = [float(row["start_delay_s"]) for row in rows]
    starts = [float(row["drawn channel.start"]) for row in rows]
    assert len(set(delays)) > 10
    assert [delay for _, delay in sorted(zip(starts, delays, strict=True))] == sorted(delays)
