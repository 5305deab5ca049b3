import pytest

from steadyhead.machine.reading import LARGEST, machine_from_text, read_machine
from steadyhead.words.errors import InputError
from steadyhead.words.value import Origin
from tests.unit.machine.sample import LEAST, instead, machine, without


def refused(more="", *, least=LEAST):
    with pytest.raises(InputError) as caught:
        machine(more, least=least)
    return str(caught.value)


def test_the_least_file_reads_and_its_gaps_are_filled():
    read = machine()
    assert read.name == "sample"
    assert read.value("motor.kv").origin is Origin.MAKER
    assert read.value("airframe.mass").is_typical


def test_a_table_may_say_once_where_its_numbers_come_from():
    read = machine(
        '[rotor]\nfrom = "measured"\nradius = "0.66 m"\nblades = 3\nchord = {value = "54 mm", from = "maker"}\n'
    )
    assert read.value("rotor.radius").origin is Origin.MEASURED
    assert read.value("rotor.blades").origin is Origin.MEASURED
    assert read.value("rotor.chord").origin is Origin.MAKER


def test_a_table_of_a_table_that_says_nothing_takes_the_origin_of_the_table():
    read = machine('[rotor]\nfrom = "measured"\nchord = {value = "54 mm", spread = "1 mm"}\n')
    assert read.value("rotor.chord").origin is Origin.MEASURED


def test_a_file_with_a_byte_order_mark_and_windows_line_ends_reads(tmp_path):
    path = tmp_path / "sample.toml"
    path.write_bytes(b"\xef\xbb\xbf" + LEAST.replace("\n", "\r\n").encode())
    assert read_machine(path).name == "sample"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("[rotr]\n", "sample.toml line 12: read unknown key rotr; did you mean rotor?"),
        (
            '[rotor]\nraduis = "1 m"\n',
            "line 13: read unknown key rotor.raduis; did you mean rotor.radius?",
        ),
        ('[rotor]\nradius = "0.66"\n', 'line 13, rotor.radius: read "0.66" without a unit'),
        ('[rotor]\nradius = "1 kg"\n', 'line 13, rotor.radius: read "1 kg", a mass'),
        (
            '[airframe]\nmass = "-3 kg"\n',
            'line 13, airframe.mass: read "-3 kg"; right would be a mass from 0.2 to 15 kg',
        ),
        ("[tail]\nblades = 0\n", "line 13, tail.blades: read 0; right would be a whole number of blades from 2 to 8"),
        ("[tail]\nblades = 2.0\n", "line 13, tail.blades: read 2; right would be a whole number"),
        ('[tail]\nblades = {value = 3, spread = "1"}\n', "a count has no spread"),
        ('[tail]\ndriven_in_autorotation = "yes"\n', "true or false, without quotes"),
        ('[gears]\nefficiency = "101 %"\n', "line 12"),
        ('[site]\ntemperature = "-300 degC"\n', "line 13, site.temperature"),
        ("[pack_choice]\ncells = 6\n", "rows that begin with [[pack_choice]]"),
        ("rotor = 3\n", "unknown key pack.rotor"),
        ('[[flight_mode]]\nname = "a"\nhead_speed = "0 rpm"\n', "line 14, flight_mode.1.head_speed"),
        (
            '[[flight_mode]]\nname = "a"\n',
            "line 12, flight_mode.1.head_speed: read nothing; right would be head_speed =",
        ),
        ('[rotor]\nfrom = "hearsay"\n', "line 13, rotor.from"),
        ("[rotor]\nradius = {value = '0.66 m',\n", "line 13"),
        ("[rotor]\nfrom = [1]\n", "line 13, rotor.from"),
    ],
)
def test_a_wrong_key_is_named_with_file_line_and_what_would_be_right(more, said):
    assert said in refused(more)


@pytest.mark.parametrize(
    ("least", "said"),
    [
        (instead("= 13", "= 118"), "line 5, gears.pinion_teeth: read 118; right would be fewer teeth than the gear"),
        (instead("= 13", "= 0"), "line 5, gears.pinion_teeth: read 0; right would be a whole number of teeth from 8"),
        (instead("= 12", "= 21"), "line 10, pack.cells: read 21"),
        (instead("= 600", "= 300"), "line 3, machine.size_class: read 300"),
        (instead('"sample"', '""'), 'line 2, machine.name: read ""'),
        (instead('"560 rpm/V"', '"560"'), 'line 8, motor.kv: read "560" without a unit'),
        (without("pinion_teeth = 13"), "line 4, gears.pinion_teeth: read nothing"),
        (without("[pack]"), "unknown key motor.cells"),
        ("x = 1", "read nothing; right would be a table [machine]"),
        ("machine = 3", "machine: read 3; right would be a table with keys below it"),
        ("  \n", "an empty file"),
        ("[machine", "line 1"),
        ("[machine]\nname = ", "line 2"),
        ("a = 1\na = 2", "line 2"),
        ("a = " + "9" * 5000, "line 1: read 5004 characters"),
        (LEAST.replace("= 13", "= 0x" + "f" * 1900), "gears.pinion_teeth: read a very large whole number"),
        ("a = " + "[" * 1900, "a text that TOML cannot hold"),
    ],
)
def test_a_file_that_cannot_be_a_machine_is_refused(least, said):
    assert said in refused(least=least)


def test_an_odd_number_of_poles_is_refused():
    assert "an even number of poles" in refused(least=instead("[pack]", "poles = 7\n[pack]"))


def test_all_troubles_are_named_at_once_in_one_sentence():
    said = refused('[rotor]\nradius = "1"\nchord = "2"\n[tail]\nratio = "x"\n')
    assert said.count("sample.toml line") == 3
    assert "\n" not in said


def test_more_than_nine_troubles_are_counted():
    keys = "\n".join(f"wrong_{number} = 1" for number in range(30))
    assert "; and 21 more" in refused(f"[rotor]\n{keys}\n")


def test_what_is_quoted_back_holds_no_control_characters_and_stays_short():
    said = refused('[rotor]\nradius = "\\u001b[31m' + "x" * 500 + '"\n')
    assert "\x1b" not in said
    assert len(said) < 400


def test_a_file_too_large_for_a_machine_is_not_read(tmp_path):
    path = tmp_path / "large.toml"
    path.write_text("#" * (LARGEST + 1))
    with pytest.raises(InputError, match="at most"):
        read_machine(path)


def test_reading_the_same_text_twice_gives_equal_machines():
    assert machine_from_text(LEAST, "a") == machine_from_text(LEAST, "b")
