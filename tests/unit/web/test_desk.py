"""What the pages share: places for uploads that lead nowhere else, and answers that are remembered."""

from pathlib import Path

import pytest

from steadyhead.web.desk import Desk


@pytest.fixture
def desk(tmp_path):
    return Desk(record=None, workshop=None, uploads=tmp_path)


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd",
        "..",
        ".",
        "",
        "/etc/passwd",
        "C:\\windows\\a.csv",
        "a\x00b.csv",
        "x" * 4000,
        "<b>.csv",
        "..csv",
    ],
)
def test_an_upload_never_leaves_its_folder(desk, tmp_path, name):
    place = desk.place_for(name)
    assert place.resolve().parent.parent == tmp_path.resolve()
    place.write_bytes(b"x")
    assert place.read_bytes() == b"x"


def test_two_uploads_of_one_name_do_not_meet(desk):
    assert desk.place_for("log.csv") != desk.place_for("log.csv")


def test_a_sentence_names_the_file_without_our_folder(desk):
    place = desk.place_for("log.csv")
    assert desk.in_words(f"{place} line 3: read x; right would be y") == "log.csv line 3: read x; right would be y"
    said = 'log.csv: read a time column; right would be --column "t=time_s:s" or --column "t=time_s:ms"'
    assert desk.in_words(said) == 'log.csv: read a time column; right would be "t=time_s:s" or "t=time_s:ms"'
    assert Path(desk.in_words(str(place))).name == "log.csv"
