"""Keys of the machine file and ids of checks inside a sentence are said as people say them."""

import pytest

from steadyhead.report.names import humanised


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("run_logic.start_delay: state it", "run logic start delay: state it"),
        ("run_logic.quick_restart_window and motor.resistance", "run logic quick restart window and motor resistance"),
        ("head_speed_limit is unknown", "head speed limit is unknown"),
        ("limits.tip_speed_max", "limit: tip speed max"),
        (
            'head_speed_rpm is not sure: --column "A=head_speed_rpm:rpm", or --column "B=pack_voltage_v"',
            'head speed is not sure: --column "A=head_speed_rpm:rpm", or --column "B=pack_voltage_v"',
        ),
        ("from q02_flight.csv", "from q02_flight.csv"),
    ],
)
def test_a_sentence_is_said_without_underscores(words: str, said: str) -> None:
    assert humanised(words) == said
