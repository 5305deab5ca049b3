"""The quick reader gives the nearest double, as Python does, and gives up on what is not plain."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace import text_file
from steadyhead.trace.opening import content_of
from steadyhead.trace.plain_numbers import numbers_of
from steadyhead.trace.readers import table_of
from steadyhead.trace.sniffing import layout_of


def read(text: str, delimiter_comma: bool = True) -> np.ndarray | None:
    data = text.encode()
    numbers = numbers_of(data, layout_of("x", text.rstrip("\n")), (False, False), 10**6)
    return None if numbers is None else numbers.values


@pytest.mark.parametrize(
    "cell",
    [
        "0",
        "-0.5",
        "12",
        "3.14159",
        "0.1",
        "0.30000000000000004",
        "123456789.125",
        "-98765.4321",
        "2031309101530.48",
        ".5",
        "7.",
        "1e-3",
        "-2.5E+7",
        "9007199254740993",
        "123456789012345678",
        "0.000000000000000001",
        " 4.5",
        "4.5 ",
    ],
)
def test_a_number_is_the_nearest_double(cell: str) -> None:
    values = read(f"a,b\n1,{cell}\n2,3\n")
    assert values is not None
    assert values[1, 0] == float(cell)


def test_random_numbers_are_read_to_the_last_bit() -> None:
    draw = np.random.default_rng(7)
    numbers = np.concatenate([draw.normal(0, 10.0**k, 300) for k in range(-5, 8)])
    cells = [f"{x:.{int(d)}f}" for x, d in zip(numbers, draw.integers(0, 10, numbers.size), strict=True)]
    values = read("a,b\n" + "".join(f"{k},{cell}\n" for k, cell in enumerate(cells)))
    assert values is not None
    assert values[1].tolist() == [float(cell) for cell in cells]


@pytest.mark.parametrize("cell", ["", "-", "--", "nan", "NA"])
def test_a_sign_for_nothing_there_counts_as_empty(cell: str) -> None:
    text = f"a,b\n1,{cell}\n2,3\n3,4\n"
    numbers = numbers_of(text.encode(), layout_of("x", text.rstrip()), (False, False), 10**6)
    assert numbers is not None
    assert np.isnan(numbers.values[1, 0])
    assert (numbers.empty[1], numbers.unreadable[1]) == (1, 0)


def test_a_word_among_numbers_counts_as_unreadable() -> None:
    text = "a,b\n1,2\n2,3\n3,off\n"
    numbers = numbers_of(text.encode(), layout_of("x", "a,b\n1,2\n2,3"), (False, False), 10**6)
    assert numbers is not None
    assert (numbers.empty[1], numbers.unreadable[1]) == (0, 1)


@pytest.mark.parametrize(
    "body", ["1,2\n3\n4,5\n", "1,2\n3,4,5\n6,7\n", "1,2\n\n3,4\n", '1,"2"\n3,4\n', "1,2\r3,4\n", "1,2\n3,\x004\n"]
)
def test_what_is_not_plain_is_left_to_the_sure_way(body: str) -> None:
    layout = layout_of("x", "a,b\n1,2\n3,4\n5,6")
    assert numbers_of(("a,b\n" + body).encode(), layout, (False, False), 10**6) is None


def test_too_many_rows_are_left_to_the_sure_way() -> None:
    text = "a,b\n" + "1,2\n" * 50
    assert numbers_of(text.encode(), layout_of("x", text.rstrip()), (False, False), 49) is None


@pytest.mark.parametrize("end", ["\n", "\r\n", "", "\n\n", "\r\n\r\n"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_line_ends_change_nothing(line_end: str, end: str) -> None:
    lines = ["a;b", *(f"{k};{k},5" for k in range(37))]
    text = line_end.join(lines) + end
    layout = layout_of("x", text.replace("\r", "").rstrip())
    numbers = numbers_of(text.encode(), layout, (False, False), 10**6)
    assert numbers is not None
    assert numbers.values.shape == (2, 37)
    assert numbers.values[1].tolist() == [k + 0.5 for k in range(37)]


def test_a_point_beside_decimal_commas_is_left_to_the_sure_way() -> None:
    text = "a;b\n1,5;998\n2,5;1.002\n"
    layout = layout_of("x", "a;b\n1,5;998\n2,5;999")
    assert layout.decimal_comma
    assert numbers_of(text.encode(), layout, (False, False), 10**6) is None


@pytest.mark.parametrize("mark", [",", "'", "’", " ", "\u00a0", "\u202f"])
def test_grouped_thousands_below_the_sample_are_left_to_the_sure_way(
    mark: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A log that begins at rest shows no thousands in its first lines."""
    monkeypatch.setattr(text_file, "_QUICK_FROM", 0)
    speeds = [*range(300), *(12_000 + 7 * k for k in range(300))]
    rows = "".join(f"{k / 100:.2f};{speed:,}\n".replace(",", mark) for k, speed in enumerate(speeds))
    path = tmp_path / "grouped.csv"
    path.write_text("time (s);motor speed (rpm)\n" + rows, "utf-8")
    table = table_of(content_of(path))
    found = table.columns[1].number
    assert found is not None
    assert found.tolist() == speeds
    assert table.columns[1].unreadable == 0


def test_a_word_in_a_long_log_is_counted_and_the_rest_is_read() -> None:
    text = "a;b\n" + "".join(f"{k};{k}\n" for k in range(50)) + "50;E12\n51;51\n"
    numbers = numbers_of(text.encode(), layout_of("x", text.rstrip()), (False, False), 10**6)
    assert numbers is not None
    assert numbers.unreadable.tolist() == [0, 1]
    assert numbers.values[1, 51] == 51.0
