"""Whatever stands in a machine file, the reader gives a machine or one sentence."""

import math
import tomllib

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Count, Flag, Quantity
from steadyhead.machine.kind import Kind
from steadyhead.machine.lines import key_lines
from steadyhead.machine.quantity import NotAQuantity, parsed
from steadyhead.machine.reading import machine_from_text, read_machine
from steadyhead.machine.schema import json_schema
from steadyhead.machine.units import FAMILIES
from steadyhead.words.errors import InputError
from tests.unit.machine.sample import LEAST

calm = settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
FOX_TEXT = bundled("fox600").read_text("utf-8")
FOX = read_machine(bundled("fox600"))
VALIDATOR = jsonschema.Draft202012Validator(json_schema())
TABLES = [name for name in Machine.model_fields if name not in ("flight_mode", "reading", "pack_choice", "machine")]
PAIRS = [(t, name, key) for t in TABLES for name, key in Machine.row_type(t).declared().items()]


def reads_or_says_why(text: str) -> Machine | None:
    try:
        return machine_from_text(text, "odd.toml")
    except InputError as error:
        said = str(error)
    assert said.startswith("odd.toml")
    assert "\n" not in said
    return None


@calm
@given(st.text())
def test_any_text_is_a_machine_or_one_sentence(text):
    reads_or_says_why(text)


@calm
@given(st.text(max_size=30))
def test_any_text_in_the_place_of_a_quantity_is_one_or_one_sentence(text):
    quoted = '"' + "".join(f"\\U{ord(c):08x}" for c in text if not 0xD800 <= ord(c) < 0xE000) + '"'
    reads_or_says_why(
        f"{LEAST}[rotor]\nradius = {quoted}\n[airframe]\nmass = {{value = {quoted}, spread = {quoted}}}\n"
    )


@calm
@given(st.integers(0, len(FOX_TEXT)), st.integers(0, 80), st.text(max_size=8))
def test_a_machine_file_with_a_stretch_cut_out_reads_or_says_why(start, length, put_in):
    reads_or_says_why(FOX_TEXT[:start] + put_in + FOX_TEXT[start + length :])


@calm
@given(
    st.sampled_from(PAIRS),
    st.one_of(
        st.integers(),
        st.floats(),
        st.booleans(),
        st.sampled_from(["[]", "{}", '""', "1979-05-27", '"1 m"', "[1, {a = 1}]", "{value = {}}", "{from = 3}"]),
    ),
)
def test_any_toml_value_under_any_key_reads_or_says_why(pair, raw):
    table, name, _ = pair
    text = raw if isinstance(raw, str) else str(raw).lower()
    reads_or_says_why(LEAST.replace(f"[{table}]\n", f"[{table}]\n{name} = {text}\n"))
    reads_or_says_why(f"{LEAST}[{table}]\n{name} = {text}\n")


@st.composite
def quantity_texts(draw, kind: Kind) -> str:
    """Draw a text that has the shape of a quantity of this kind, in any unit of its family and inside its range."""
    unit = draw(st.sampled_from(sorted(FAMILIES[kind.family])))
    spelling = FAMILIES[kind.family][unit]
    inside = draw(st.floats(0.001, 0.999))
    si = kind.si(kind.low) + inside * (kind.si(kind.high) - kind.si(kind.low))
    number = f"{(si - spelling.offset) / spelling.factor:.12g}"
    spreads = ["", "±0 %", " +- 5 %", " +/- 0.5%"]
    if kind.family == "temperature":
        spreads = ["", "±0 K", " +- 5 degC"]
    elif unit == "%":  # points, which may not be more than a small value itself
        spreads = ["", "±0 %"]
    spread = draw(st.sampled_from(spreads))
    return f"{number}{draw(st.sampled_from(['', ' ', '  ']))}{unit}{spread}"


@calm
@given(st.data())
def test_every_quantity_in_its_range_is_taken_by_the_reader_and_by_the_schema(data):
    table, name, key = data.draw(st.sampled_from([pair for pair in PAIRS if isinstance(pair[2], Quantity)]))
    text = data.draw(quantity_texts(key.kind))
    value = parsed(text, key.kind)
    assert value.unit in FAMILIES[key.kind.family]
    rows = VALIDATOR.evolve(schema={**json_schema_of(table, name), "$defs": VALIDATOR.schema["$defs"]})
    assert rows.is_valid(text), f"{table}.{name} = {text}"


@calm
@given(st.data(), st.text(alphabet="0123456789.+-± eEmgkVArps%/°C", max_size=12))
def test_what_a_key_takes_its_schema_takes(data, text):
    table, name, key = data.draw(st.sampled_from([pair for pair in PAIRS if isinstance(pair[2], Quantity)]))
    try:
        value = parsed(text, key.kind)
    except NotAQuantity:
        return
    rows = VALIDATOR.evolve(schema={**json_schema_of(table, name), "$defs": VALIDATOR.schema["$defs"]})
    assert rows.is_valid(text) or (value.si == 0 and "-" in text)


def json_schema_of(table: str, name: str) -> dict:
    rows = VALIDATOR.schema["$defs"][Machine.row_type(table).__name__]
    return rows["properties"][name]


@calm
@given(st.data())
def test_a_value_written_back_reads_as_the_same_value(data):
    key = data.draw(st.sampled_from([pair[2] for pair in PAIRS if isinstance(pair[2], Quantity)]))
    value = parsed(data.draw(quantity_texts(key.kind)), key.kind)
    again = parsed(f"{value.number!r} {value.unit}", key.kind)
    assert again.si == value.si


@calm
@given(st.sampled_from([key for key, value in FOX.values() if value.spread_si]), st.floats(-1.0, 1.0))
def test_shifting_moves_a_value_by_its_half_width_or_to_the_edge_of_what_is_possible(key, sigmas):
    before, declared = FOX.value(key), FOX.declared(key)
    after = FOX.shifted(key, sigmas).value(key)
    assert isinstance(declared, Quantity)
    low, high = declared.kind.si(declared.kind.low), declared.kind.si(declared.kind.high)
    wanted = min(max(before.si + sigmas * before.spread_si, low), high)
    assert math.isclose(after.si, wanted, rel_tol=1e-12, abs_tol=1e-15)
    assert (after.spread_si, after.origin, after.unit) == (before.spread_si, before.origin, before.unit)


@calm
@given(st.sampled_from([key for key, value in FOX.values() if value.spread_si]))
def test_shifting_there_and_back_gives_the_machine_again(key):
    there = FOX.shifted(key, 0.01)
    back = there.shifted(key, -0.01).value(key)
    assert math.isclose(back.si, FOX.value(key).si, rel_tol=1e-12)


names = st.text(alphabet="abcxyz_-019", min_size=1, max_size=4)
leaves = st.one_of(st.integers(), st.booleans(), st.text(max_size=6), st.lists(st.text(max_size=4), max_size=3))
trees = st.dictionaries(
    names, st.dictionaries(names, st.one_of(leaves, st.dictionaries(names, leaves, max_size=3))), max_size=4
)


def toml_of(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        plain = "".join(c if 32 <= ord(c) < 0xD800 and c not in '\\"\x7f' else f"\\U{ord(c):08x}" for c in value)
        return f'"{plain}"'
    if isinstance(value, list):
        return "[" + ",\n  ".join(toml_of(item) for item in value) + ",\n]" if value else "[]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {toml_of(item)}" for key, item in value.items()) + "}"
    return str(value)


@calm
@given(trees)
def test_every_key_of_any_toml_text_is_found_on_the_line_it_was_written_on(tree):
    lines, where = [], {}
    for table, pairs in tree.items():
        lines.append(f"[{table}]")
        where[(table,)] = len(lines)
        for key, value in pairs.items():
            where[(table, key)] = len(lines) + 1
            if isinstance(value, dict):
                line = f"{key} = {{{', '.join(f'{k} = 1' for k in value)}}}"
                where |= {(table, key, below): len(lines) + 1 for below in value}
            else:
                line = f"{key} = {toml_of(value)}  # a remark = [1]"
            lines += line.split("\n")
    text = "\n".join(lines)
    tomllib.loads(text)
    assert key_lines(text) == where


@pytest.mark.parametrize("kind", [Count, Flag])
def test_the_draws_above_reach_every_sort_of_key(kind):
    assert any(isinstance(pair[2], kind) for pair in PAIRS)
