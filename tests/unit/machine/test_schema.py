import json
import tomllib

import jsonschema
import pytest

from steadyhead.machine.bundled import BUNDLED, bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.new import machine_text
from steadyhead.machine.reading import machine_from_text
from steadyhead.machine.schema import json_schema
from steadyhead.words.errors import InputError
from tests.unit.machine.sample import LEAST

SCHEMA = json_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)

GOOD = [
    "",
    '[rotor]\nradius = "0.66 m"\n',
    '[rotor]\nradius = "660 mm +- 2 mm"\nchord = "5.4cm±1%"\n',
    '[rotor]\ninertia = "36 g m2"\ncollective_min = "-12 ° +- 5 %"\n',
    '[rotor]\nfrom = "measured"\nradius = {value = "0.66 m", spread = "1 %", from = "maker", note = "n"}\n',
    '[tail]\nblades = {value = 3, from = "measured"}\nratio = 4.5\ndriven_in_autorotation = false\n',
    '[tail]\nratio = "4.5 +- 1 %"\n',
    '[tail]\nratio = {value = 4, spread = "1 %"}\n',
    '[limits]\nduty_max = "95 %"\ndroop = "4 %"\n',
    '[site]\ntemperature = "-5 °C +- 10 K"\nelevation = "-20 m"\npressure = "1013 hPa"\n',
    '[[flight_mode]]\nname = "a"\nhead_speed = "2000 rpm"\nchannel = "70 %"\n',
    '[[reading]]\nchannel = "70 %"\nhead_speed = "2000 rpm +- 5 rpm"\n',
    '[channel]\nramp_rate = "50 %/s"\npulse_low = "1.1 ms"\npulse_high = "1900 µs"\n',
]
BAD = [
    '[rotr]\nradius = "0.66 m"\n',
    '[rotor]\nraduis = "0.66 m"\n',
    '[rotor]\nradius = "0.66"\n',
    "[rotor]\nradius = 0.66\n",
    '[rotor]\nradius = "0.66 kg"\n',
    '[rotor]\nradius = "0.66 furlong"\n',
    '[rotor]\nradius = "0,66 m"\n',
    '[rotor]\nradius = "-0.66 m"\n',
    '[rotor]\nradius = "nan m"\n',
    '[rotor]\nradius = "0.66 m +-"\n',
    '[rotor]\nradius = "0.66 m +- 2 kg"\n',
    '[rotor]\nradius = {spread = "1 %"}\n',
    '[rotor]\nradius = {value = "0.66 m", sprad = "1 %"}\n',
    '[rotor]\nradius = {value = "0.66 m", spread = 1}\n',
    '[rotor]\nradius = {value = "0.66 m", from = "hearsay"}\n',
    '[rotor]\nradius = {value = "0.66 m", from = "derived"}\n',
    '[rotor]\nfrom = "hearsay"\n',
    '[rotor]\nradius = {value = "0.66 m", note = "a\\u0007"}\n',
    "[tail]\nblades = 0\n",
    "[tail]\nblades = {from = 'maker'}\n",
    '[tail]\nblades = {value = 3, from = "hearsay"}\n',
    '[tail]\nblades = {value = 3, nota = "x"}\n',
    "[tail]\nblades = 2.5\n",
    '[tail]\nblades = "3"\n',
    '[tail]\nblades = {value = 3, spread = "1"}\n',
    "[tail]\ndriven_in_autorotation = 1\n",
    "[tail]\nratio = 40\n",
    "[tail]\nratio = true\n",
    "[limits]\nduty_max = 1.2\n",
    "[limits]\ndroop = 4\n",
    '[site]\ntemperature = "20 degC +- 5 %"\n',
    '[flight_mode]\nname = "a"\nhead_speed = "2000 rpm"\n',
    '[[flight_mode]]\nname = "a"\n',
    '[[flight_mode]]\nname = "a\\u0007"\nhead_speed = "2000 rpm"\n',
    "[[rotor]]\nblades = 2\n",
    "[airframe]\nmass = [1]\n",
    "rotor = 3\n",
]


def reader_takes(text: str) -> bool:
    try:
        machine_from_text(text, "sample.toml")
    except InputError:
        return False
    return True


def test_the_schema_is_a_json_schema_of_the_stated_dialect():
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    json.dumps(SCHEMA)


def test_every_key_of_the_reader_stands_in_the_schema_with_its_meaning_and_no_other():
    for table in Machine.model_fields:
        rows = Machine.row_type(table)
        described = SCHEMA["$defs"][rows.__name__]["properties"]
        assert set(described) == set(rows.declared()) | {"from"}
        for name, key in rows.declared().items():
            assert described[name]["description"] == key.says


@pytest.mark.parametrize("more", GOOD)
def test_what_the_reader_takes_the_schema_takes(more):
    assert reader_takes(LEAST + more)
    VALIDATOR.validate(tomllib.loads(LEAST + more))


@pytest.mark.parametrize("more", BAD)
def test_what_the_schema_refuses_the_reader_refuses(more):
    assert not reader_takes(LEAST + more)
    assert not VALIDATOR.is_valid(tomllib.loads(LEAST + more))


@pytest.mark.parametrize("line", [line for line in LEAST.splitlines() if "=" in line])
def test_the_schema_misses_a_required_key_as_the_reader_does(line):
    text = LEAST.replace(line + "\n", "")
    assert not reader_takes(text)
    assert not VALIDATOR.is_valid(tomllib.loads(text))


@pytest.mark.parametrize("name", BUNDLED)
def test_the_bundled_machines_follow_the_schema(name):
    VALIDATOR.validate(tomllib.loads(bundled(name).read_text("utf-8")))


def test_a_new_machine_file_follows_the_schema():
    VALIDATOR.validate(tomllib.loads(machine_text("My machine", 700)))
