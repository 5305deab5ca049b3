"""One log that cannot be read takes none of the others with it: sheet, advice and learning name it."""

import pytest

from steadyhead import job
from steadyhead.report.kept_logs import LogsShown
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.trace.each_read import each_read
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome


def read(path):
    if path == "bad":
        raise InputError("bad", read="nothing", right="a log")
    return path.upper()


def test_what_can_be_read_is_read_and_the_other_is_named_with_why():
    found, unread = each_read(read, [("one", "good"), ("two", "bad")])
    assert found == [("one", "GOOD")]
    assert unread == ("two: read nothing; right would be a log",)


def test_where_no_log_can_be_read_that_is_refused_unless_all_may_fail():
    with pytest.raises(InputError, match="bad"):
        each_read(read, [("two", "bad")])
    assert each_read(read, [("two", "bad")], all_may_fail=True) == ([], ("two: read nothing; right would be a log",))
    assert each_read(read, []) == ([], ())


@pytest.fixture
def broken(tmp_path):
    path = tmp_path / "broken.csv"
    path.write_text("x\n", "utf-8")
    return path


def test_advice_names_the_log_that_it_could_not_read_and_does_not_pass(broken):
    told = job.advise(job.read_machine(job.bundled("fox600")), [DEMO_LOGS[0], broken])
    assert any("left out" in said and "broken.csv" in said for said in told.warnings)
    assert told.verdict is not Outcome.PASS


def test_learning_names_the_log_that_it_could_not_read(broken):
    told = job.learn(job.bundled("fox600"), [DEMO_LOGS[0], broken])
    assert any("left out" in said and "broken.csv" in said for said in told.warnings)
    assert told.logs == (str(DEMO_LOGS[0]),)


def test_a_sheet_of_the_record_names_the_log_that_it_could_not_read(broken, tmp_path):
    shown = LogsShown(names=("my flight.csv",), since=((),))
    made = job.sheet(job.read_machine(job.bundled("fox600")), [broken], tmp_path / "sheet", shown=shown)
    assert made.verdict is not Outcome.PASS
    told = made.files.html.read_text("utf-8")
    assert "1 log left out, and not judged: my flight.csv" in told
