"""What stands in the record: which text of a machine is the newest, and whose name another text bears."""

import pytest

from steadyhead.bench import shelf
from steadyhead.bench.record import keep_machine_text, keep_sheet, open_record
from steadyhead.machine.bundled import bundled
from steadyhead.words.verdict import Outcome

TEXT = bundled("wren450").read_text("utf-8")


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


def test_the_newest_text_is_known_by_its_key_whatever_number_it_states(record):
    first = keep_machine_text(record, TEXT, "wren.toml")
    second = keep_machine_text(record, f"{TEXT}\n# heavier\n", "wren.toml")
    assert first.revision == second.revision
    assert shelf.newest_key(record, "Wren 450") == second.id
    keep_machine_text(record, TEXT, "wren.toml")
    assert shelf.newest_key(record, "Wren 450") == first.id
    assert shelf.newest_key(record, "nobody") is None


def test_a_text_is_known_by_the_name_in_it(record):
    assert shelf.named_in(record, TEXT, "wren.toml") == ("Wren 450", None)
    kept = keep_machine_text(record, TEXT, "wren.toml")
    assert shelf.named_in(record, f"{TEXT}\n# other\n", "falcon.toml") == ("Wren 450", kept)


def test_a_sheet_says_which_text_it_was_made_from(record, tmp_path):
    first = keep_machine_text(record, TEXT, "wren.toml")
    page = tmp_path / "sheet.html"
    page.write_text("<p>a sheet</p>", "utf-8")
    keep_sheet(record, first, page, Outcome.UNKNOWN)
    keep_machine_text(record, f"{TEXT}\n# heavier\n", "wren.toml")
    (sheet,) = shelf.sheets(record, "Wren 450")
    assert sheet.revision_id == first.id != shelf.newest_key(record, "Wren 450")
