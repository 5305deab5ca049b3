from steadyhead.machine.lines import key_lines, line_of

TEXT = '''\
# a comment with [brackets] and = signs
top = 1

[rotor]            # line 4
radius = "0.66 m"
"chord" = "54 mm"
note = """
[not.a.table]
radius = 3
"""
list = [
  1, # ]
  2, [
  5],
  [7, 8],
]
after = true

[[flight_mode]]
name = "a = b"
head_speed = {value = "2000 rpm", note = "x, y } z", spread = "1 %"}

[[flight_mode]]
name = 'c'
deep.er.still = 1
  [flight_mode.below]
  last = 1
'''


def test_every_key_is_found_on_its_line():
    lines = key_lines(TEXT)
    assert lines[("top",)] == 2
    assert lines[("rotor",)] == 4
    assert lines[("rotor", "radius")] == 5
    assert lines[("rotor", "chord")] == 6
    assert lines[("rotor", "note")] == 7
    assert lines[("rotor", "list")] == 11
    assert lines[("rotor", "after")] == 17


def test_rows_of_arrays_are_told_apart():
    lines = key_lines(TEXT)
    assert lines[("flight_mode",)] == lines[("flight_mode", 0)] == 19
    assert lines[("flight_mode", 0, "head_speed")] == 21
    assert lines[("flight_mode", 1)] == 23
    assert lines[("flight_mode", 1, "name")] == 24


def test_inline_tables_and_dotted_keys_are_looked_into():
    lines = key_lines(TEXT)
    assert lines[("flight_mode", 0, "head_speed", "spread")] == 21
    assert lines[("flight_mode", 1, "deep", "er", "still")] == 25
    assert lines[("flight_mode", 1, "deep")] == 25
    assert lines[("flight_mode", 1, "below", "last")] == 27


def test_text_inside_long_strings_is_no_key():
    assert ("not", "a", "table") not in key_lines(TEXT)


def test_a_missing_key_is_placed_at_its_table():
    lines = key_lines(TEXT)
    assert line_of(lines, ("rotor", "blade_mass")) == 4
    assert line_of(lines, ("flight_mode", 1, "head_speed")) == 23
    assert line_of(lines, ("tail", "radius")) is None


def test_headers_with_blanks_and_quotes_are_read():
    lines = key_lines('[ "rotor" ]\n radius = 1\n[[ flight_mode ]]\nname = 1')
    assert lines[("rotor", "radius")] == 2
    assert lines[("flight_mode", 0, "name")] == 4
