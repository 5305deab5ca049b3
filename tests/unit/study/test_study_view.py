"""What stands above a study that asks no verdict: a choice that never holds is said to fail."""

import pytest

from steadyhead.study.result import PointTold
from steadyhead.study.view import fails_everywhere


def point(failed: int, unknown: int = 0) -> PointTold:
    return PointTold(
        point="gears.pinion_teeth = 12", machines=24, passed=24 - failed - unknown, failed=failed, unknown=unknown,
        pass_share=0.0, pass_share_interval=(0.0, 0.1), figures=(),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("points", "lost"),
    [
        ((point(24), point(24)), True),
        ((point(24), point(23)), False),
        ((point(23, unknown=1),), False),
        ((), False),
    ],
)
def test_only_where_every_machine_fails_at_every_choice_it_is_called_so(points, lost):
    assert fails_everywhere(points) is lost
