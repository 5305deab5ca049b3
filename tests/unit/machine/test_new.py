import re

import pytest

from steadyhead.machine.description import Machine
from steadyhead.machine.new import file_name, machine_text, write_machine_file
from steadyhead.machine.reading import machine_from_text, read_machine
from steadyhead.words.cautions import ALL
from steadyhead.words.errors import InputError


@pytest.mark.parametrize("size", [400, 450, 475, 500, 520, 550, 600, 700, 800])
def test_a_new_machine_file_reads_back_and_looks_plausible(size):
    from steadyhead.machine.plausible import remarks

    read = machine_from_text(machine_text("My machine", size), "new.toml")
    assert (read.name, read.size_class, len(read.flight_mode)) == ("My machine", size, 3)
    assert remarks(read) == ()


def test_the_cautions_stand_before_the_first_table():
    text = machine_text("My machine", 600)
    for caution in ALL:
        assert text.index(caution) < text.index("[machine]")


def test_every_key_stands_in_a_new_file_with_its_meaning():
    text = machine_text("My machine", 600)
    for table in Machine.model_fields:
        for name in Machine.row_type(table).declared():
            assert re.search(rf"^(# )?{name} = ", text, re.MULTILINE), name


def test_nothing_of_the_example_counts_as_stated_until_the_owner_says_so():
    read = machine_from_text(machine_text("My machine", 600), "new.toml")
    stated = [key for key, value in read.values() if not value.is_typical]
    assert all(key.startswith("flight_mode.") for key in stated)


def test_what_only_a_maker_knows_is_offered_without_a_number():
    for key in Machine.row_type("controller").declared():
        if key.startswith("current") or key == "temperature_max":
            assert re.search(rf'^# {key} = "\? ', machine_text("My machine", 600), re.MULTILINE)


def test_a_question_mark_left_standing_does_not_read():
    text = machine_text("My machine", 600).replace('# head_speed_max = "? rpm"', 'head_speed_max = "? rpm"')
    with pytest.raises(InputError, match=r"limits\.head_speed_max"):
        machine_from_text(text, "new.toml")


def test_typical_numbers_taken_over_as_they_stand_read_back_close_to_the_typical_ones():
    text = machine_text("My machine", 600)
    taken = re.sub(r"^# (\w+ = [^?#]*[^ ?#]) +# .* \[typical\]$", r"\1", text, flags=re.MULTILINE)
    assert taken.count("\n# ") < text.count("\n# ") - 50
    before, after = machine_from_text(text, "new.toml"), machine_from_text(taken, "new.toml")
    for key in before.typical():
        assert after.value(key).si == pytest.approx(before.value(key).si, rel=6e-3, abs=1e-9), key


@pytest.mark.parametrize(("name", "size"), [("", 600), ("x" * 81, 600), ("a\nb", 600), ("fox", 399), ("fox", 801)])
def test_a_name_or_size_that_cannot_be_is_refused(name, size):
    with pytest.raises(InputError):
        machine_text(name, size)


def test_a_name_with_quotes_and_umlauts_survives():
    assert machine_from_text(machine_text('Grüner "Fuchs" \\ 7', 600), "new.toml").name == 'Grüner "Fuchs" \\ 7'


def test_a_written_file_reads_and_is_never_overwritten(tmp_path):
    path = write_machine_file("Fox Two", 550, tmp_path)
    assert path.name == "fox-two.toml"
    assert read_machine(path).name == "Fox Two"
    path.write_text("mine")
    with pytest.raises(InputError, match="a file that is there already"):
        write_machine_file("Fox Two", 550, tmp_path)
    assert path.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputError, match="a place that cannot be written"):
        write_machine_file("Fox", 550, tmp_path / "nowhere")


@pytest.mark.parametrize(
    ("name", "plain"), [("Fox 600", "fox-600"), ("../../etc", "etc"), ("日本", "machine"), ("a/b", "a-b")]
)
def test_a_file_name_is_plain(name, plain):
    assert file_name(name) == plain


def test_a_key_with_words_of_its_own_offers_those_that_are_taken():
    text = machine_text("My machine", 600)
    line = next(line for line in text.splitlines() if line.startswith("# permission"))
    assert "one of none, idle band, time" in line


def test_a_name_that_ends_in_toml_means_that_file(tmp_path):
    path = write_machine_file("kite.toml", 600, tmp_path)
    assert path == tmp_path / "kite.toml"
    assert read_machine(path).name == "kite"
