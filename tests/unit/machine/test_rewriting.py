"""A machine file with some values changed keeps every other line."""

import tomllib

from steadyhead.machine.rewriting import rewritten, with_rows

TEXT = """\
# My Fox. Do not lend.
[machine]
name = "Fox"   # the red one

[motor]
kv = "560 rpm/V +- 3 %"  # printed on the can
# resistance = "15 mohm"  # winding, terminal to terminal
poles = 10

# What drives it all.
[pack]
cells = 12
capacity = { value = "3300 mAh", spread = "4 %", from = "maker", note = "# is no remark here" }  # label

[[flight_mode]]
name = "normal"
head_speed = "1730 rpm"
"""


def changed_lines(after: str) -> list[tuple[str, str]]:
    before, now = TEXT.split("\n"), after.split("\n")
    return [(line, "") for line in before if line not in now] + [("", line) for line in now if line not in before]


def test_a_value_is_replaced_and_its_remark_stays() -> None:
    text, left = rewritten(TEXT, {"motor.kv": '"571 rpm/V +- 1 %"'})
    assert left == ()
    assert 'kv = "571 rpm/V +- 1 %"  # printed on the can' in text
    assert len(changed_lines(text)) == 2


def test_a_sharp_sign_inside_a_text_is_no_remark() -> None:
    text, _ = rewritten(TEXT, {"pack.capacity": '"3200 mAh"'})
    assert 'capacity = "3200 mAh"  # label' in text
    assert "is no remark here" not in text


def test_a_new_key_goes_below_its_own_remark_line() -> None:
    rows = rewritten(TEXT, {"motor.resistance": '"16 mohm"'})[0].split("\n")
    assert rows[rows.index('resistance = "16 mohm"') - 1].startswith('# resistance = "15 mohm"')
    assert tomllib.loads("\n".join(rows))["motor"]["resistance"] == "16 mohm"


def test_a_new_key_without_remark_line_goes_to_the_end_of_its_table() -> None:
    rows = rewritten(TEXT, {"pack.slow_time": '"9 s"'})[0].split("\n")
    assert rows[rows.index('slow_time = "9 s"') - 1].startswith("capacity")
    rows = rewritten(TEXT, {"motor.inertia": '"0.1 g m2"'})[0].split("\n")
    assert rows[rows.index('inertia = "0.1 g m2"') - 1] == "poles = 10"


def test_a_new_table_goes_to_the_end_of_the_file() -> None:
    text, _ = rewritten(TEXT, {"governor.gain": '"1.5"', "governor.integral_time": '"0.2 s"'})
    raw = tomllib.loads(text)
    assert raw["governor"] == {"gain": "1.5", "integral_time": "0.2 s"}
    assert raw["flight_mode"] == [{"name": "normal", "head_speed": "1730 rpm"}]


def test_a_key_inside_another_line_is_left_alone_and_named() -> None:
    text = 'motor = { kv = "560 rpm/V", poles = 10 }\n'
    assert rewritten(text, {"motor.kv": '"571 rpm/V"'}) == (text, ("motor.kv",))
    assert rewritten(text, {"motor.resistance": '"16 mohm"'}) == (text, ("motor.resistance",))


def test_a_dotted_key_is_replaced_in_place() -> None:
    text, left = rewritten('motor.kv = "560 rpm/V"\n', {"motor.kv": '"571 rpm/V"'})
    assert (text, left) == ('motor.kv = "571 rpm/V"\n', ())


def test_rows_go_behind_the_last_line() -> None:
    text = with_rows(TEXT, "reading", ({"channel": '"57 %"'}, {"channel": '"70 %"'}))
    assert text.startswith(TEXT.rstrip("\n"))
    assert tomllib.loads(text)["reading"] == [{"channel": "57 %"}, {"channel": "70 %"}]
