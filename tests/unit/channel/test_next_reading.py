import numpy as np
import pytest

from steadyhead.channel.line_fit import affine
from steadyhead.channel.next_reading import next_reading, target_percents
from steadyhead.channel.set_point_law import points_of, set_point_law
from steadyhead.channel.setting import Mode
from tests.unit.channel.bench import line_readings, reading, setting


def test_the_first_reading_is_the_slowest_that_is_needed() -> None:
    asked = next_reading(set_point_law(()), setting())
    assert asked.percent == pytest.approx(57.0)
    assert "nothing is read yet" in asked.because


def test_the_second_reading_is_the_farthest_that_is_needed() -> None:
    asked = next_reading(set_point_law(line_readings(57.0)), setting())
    assert asked.percent == pytest.approx(83.0)
    assert "cannot tell a proportional law" in asked.because


def test_without_flight_mode_values_the_second_reading_lies_twenty_percent_lower() -> None:
    bare = setting(modes=(Mode("normal", 1730.0, None),))
    assert next_reading(set_point_law(line_readings(80.0)), bare).percent == pytest.approx(60.0)
    assert next_reading(set_point_law(line_readings(30.0)), bare).percent == pytest.approx(50.0)


def test_the_third_reading_is_where_a_bent_law_would_show() -> None:
    asked = next_reading(set_point_law(line_readings(57.0, 83.0)), setting())
    assert asked.percent is not None
    assert 65.0 <= asked.percent <= 75.0
    assert "nothing tests it" in asked.because


def test_two_high_readings_send_the_third_down_to_the_flight_modes() -> None:
    readings = (reading(100.0, 2590.0), reading(97.0, 2530.0))
    asked = next_reading(set_point_law(readings), setting())
    assert asked.percent is not None
    assert asked.percent < 60.0


def test_a_tested_line_asks_for_the_reading_that_shrinks_the_greatest_doubt_most() -> None:
    readings = line_readings(57.0, 63.0, 70.0)
    modes = (Mode("normal", 1730.0, 57.0), Mode("idle-up 1", 1990.0, 70.0))
    law = set_point_law(readings)
    asked = next_reading(law, setting(modes=modes))
    assert asked.percent is not None
    aims = np.array(target_percents(law, setting(modes=modes)))

    def worst_with(percent: float) -> float:
        line = affine(points_of((*readings, *line_readings(percent))))
        return max(line.deviation_rpm(float(at)) for at in aims)

    best = min(worst_with(float(at)) for at in range(57, 71))
    assert worst_with(asked.percent) <= 1.03 * best
    assert worst_with(asked.percent) < 0.97 * max(affine(points_of(readings)).deviation_rpm(float(at)) for at in aims)
    assert "takes the greatest doubt" in asked.because


def test_a_piecewise_law_asks_inside_the_gap_round_a_flight_mode() -> None:
    law = set_point_law((reading(50.0, 1300.0), reading(60.0, 1750.0), reading(80.0, 1900.0), reading(90.0, 2400.0)))
    asked = next_reading(law, setting(modes=(Mode("idle-up 1", 1850.0, None),)))
    assert asked.percent == pytest.approx(70.0)
    assert "between 60 and 80 %" in asked.because


def test_of_two_gaps_round_flight_modes_the_less_known_one_is_asked_for() -> None:
    law = set_point_law((reading(50.0, 1300.0), reading(60.0, 1750.0), reading(80.0, 1900.0), reading(90.0, 2400.0)))
    both = setting(modes=(Mode("idle-up 1", 1850.0, None), Mode("idle-up 2", 2200.0, None)))
    assert next_reading(law, both).percent == pytest.approx(85.0)


def test_no_position_above_the_head_makers_limit_is_asked_for() -> None:
    for readings in (line_readings(57.0, 70.0), line_readings(57.0, 60.0, 63.0)):
        law = set_point_law(readings)
        free = next_reading(law, setting())
        held = next_reading(law, setting(head_speed_max_rpm=2100.0))
        assert free.percent is not None
        assert held.percent is not None
        assert free.percent > 75.5 or len(readings) == 2
        assert held.percent <= 75.5


def test_no_position_below_the_start_is_asked_for() -> None:
    law = set_point_law(line_readings(23.0, 30.0))
    bare = setting(modes=(Mode("slow", 800.0, 10.0),))
    asked = next_reading(law, bare)
    assert asked.percent is not None
    assert asked.percent >= 22.0


def test_a_flight_mode_outside_a_tested_line_is_read_next_farthest_first() -> None:
    modes = (Mode("normal", 1730.0, 57.0), Mode("idle-up 1", 2500.0, None))
    asked = next_reading(set_point_law(line_readings(57.0, 76.0, 95.0)), setting(modes=modes))
    assert asked.percent == pytest.approx(95.5)
    assert "outside what was read (57 to 95 %)" in asked.because
    far = next_reading(set_point_law(line_readings(66.0, 68.0, 70.0)), setting())
    assert far.percent == pytest.approx(83.0)


def test_a_flight_mode_below_the_start_or_over_the_limit_is_not_read_outside() -> None:
    below = setting(modes=(Mode("slow", 800.0, None), Mode("normal", 1730.0, 57.0)))
    assert next_reading(set_point_law(line_readings(30.0, 57.0, 60.0)), below).percent >= 22.0
    fast = setting(modes=(Mode("normal", 1730.0, 57.0), Mode("fast", 2250.0, None)), head_speed_max_rpm=2100.0)
    assert next_reading(set_point_law(line_readings(57.0, 63.0, 70.0)), fast).percent <= 75.5
