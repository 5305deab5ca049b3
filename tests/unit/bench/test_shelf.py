"""What stands in the record: which text of a machine is the newest, and whose name another text bears."""

from dataclasses import replace

import pytest

from steadyhead.bench import shelf
from steadyhead.bench.record import keep_machine_text, keep_sheet, open_record
from steadyhead.bench.void import changes_between, known_better, part_changes
from steadyhead.machine.bundled import bundled
from steadyhead.machine.difference import differences
from steadyhead.machine.reading import machine_from_text
from steadyhead.report.views.revised import void_checks
from steadyhead.words.value import Origin
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


@pytest.mark.parametrize(
    ("section", "key", "value", "stands"),
    [
        ("motor", "kv", "within", True),
        ("rotor", "inertia", "beyond", True),
        ("motor", "kv", "beyond", False),
        ("rotor", "radius", "maker", False),
    ],
)
def test_what_is_void_once_a_text_is_kept_is_what_older_logs_no_longer_prove(section, key, value, stands):
    machine = machine_from_text(TEXT, "wren.toml")
    old = dict(machine.values())[f"{section}.{key}"]
    moved = {"within": old.si + 0.5 * old.spread_si, "beyond": 1.3 * old.si, "maker": 1.1 * old.si}[value]
    new = replace(old, si=moved, origin=Origin.MAKER if value == "maker" else Origin.FITTED)
    table = getattr(machine, section).model_copy(update={key: new})
    after = machine.model_copy(update={section: table})
    found = [replace(one, known_better=known_better(one.key, machine, after)) for one in differences(machine, after)]
    assert [one.key for one in found] == [f"{section}.{key}"]
    assert bool(void_checks(found)) is not stands
    assert bool(part_changes(machine, after)) is not stands
    assert bool(changes_between(machine, after)) is not stands
