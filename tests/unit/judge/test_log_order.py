"""Logs given in another order than they were made, as a list of file names puts them."""

import dataclasses
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.judge.session import session
from steadyhead.trace.reading import read_trace
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_flights import flown

MORNING = datetime(2031, 3, 9, 10, 15, 30, tzinfo=UTC)


def dated(name: str, began_s: float | None, rows_left_out: int) -> Judgement:
    whole = flown()
    trace = dataclasses.replace(
        whole,
        source=name,
        began_s=began_s,
        time_s=whole.time_s[:-rows_left_out],
        channels={key: values[:-rows_left_out] for key, values in whole.channels.items()},
    )
    return judge(MACHINE, trace)


def test_dated_logs_are_put_in_the_order_of_their_dates_and_that_is_said() -> None:
    ten, two, nine = dated("ten.csv", 9e9, 3), dated("two.csv", 2e9, 2), dated("nine.csv", 5e9, 1)
    got = session(MACHINE, [ten, two, nine])
    assert [log.log for log in got.logs] == ["two.csv", "nine.csv", "ten.csv"]
    assert any("put in the order of their dates" in said for said in got.warnings)
    in_order = session(MACHINE, [two, nine, ten])
    assert not any("order" in said for said in in_order.warnings)
    assert in_order.trends == got.trends


def test_logs_of_which_one_has_no_date_stay_as_given_and_a_wrong_order_is_said() -> None:
    got = session(MACHINE, [dated("ten.csv", 9e9, 3), dated("two.csv", 2e9, 2), dated("nine.csv", None, 1)])
    assert [log.log for log in got.logs] == ["ten.csv", "two.csv", "nine.csv"]
    assert any("two.csv was begun before a dated log" in said for said in got.warnings)


@pytest.mark.parametrize(
    ("heading", "cell"),
    [
        ("timestamp", lambda moment: moment.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"),
        ("date,time of day", lambda moment: moment.strftime("%Y-%m-%d,%H:%M:%S.%f")[:-3]),
        ("timestamp", lambda moment: moment.strftime("%Y%m%d%H%M%S")),
        ("time (s)", lambda moment: f"{moment.timestamp():.3f}"),
        ("time (ms)", lambda moment: f"{moment.timestamp() * 1000:.0f}"),
    ],
)
def test_the_date_in_a_log_is_read(heading: str, cell: Callable[[datetime], str], tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    whole = heading == "timestamp" and cell(MORNING).isdigit()
    moments = [MORNING + timedelta(seconds=(1.0 if whole else 0.1) * k) for k in range(80)]
    rows = [f"{cell(moment)},{2000 + k % 3},48.{k % 7}" for k, moment in enumerate(moments)]
    path.write_text("\n".join([f"{heading},head speed (rpm),pack voltage (V)", *rows]), "utf-8")
    began_s = read_trace(path, remember=False).began_s
    assert began_s == pytest.approx(MORNING.timestamp(), abs=0.1)


def test_a_log_without_a_date_has_none(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"10:15:{30 + 0.1 * k:06.3f},{2000 + k % 3},48.{k % 7}" for k in range(80)]
    path.write_text("\n".join(["time of day,head speed (rpm),pack voltage (V)", *rows]), "utf-8")
    assert read_trace(path, remember=False).began_s is None
