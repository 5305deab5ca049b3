import pytest

from steadyhead.channel.reading_text import reading_from_text, readings_from_texts
from steadyhead.words.errors import InputError


@pytest.mark.parametrize(
    ("text", "percent", "rpm", "spread"),
    [
        ("80=1710", 80.0, 1710.0, 0.0),
        ("80=1710+-5", 80.0, 1710.0, 5.0),
        (" 80.5 % = 1710.25 +/- 2.5 rpm ", 80.5, 1710.25, 2.5),
        ("100=2196 ± 10", 100.0, 2196.0, 10.0),
        ("0=1000rpm", 0.0, 1000.0, 0.0),
        ("57,5=1950,5+-2,5", 57.5, 1950.5, 2.5),
    ],
)
def test_a_pair_is_read_as_typed(text: str, percent: float, rpm: float, spread: float) -> None:
    got = reading_from_text(text)
    assert (got.percent, got.head_speed_rpm, got.spread_rpm) == (percent, rpm, spread)
    assert got.source == "command line"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "80",
        "80=",
        "=1710",
        "80=fast",
        "80=-1710",
        "-5=1710",
        "101=1710",
        "80=0",
        "80=50",
        "80=6001",
        "80=1.750",
        "80=1710+-",
        "80=1710+-2000",
        "80=1e9",
        "80=99999",
        "80=1710=5",
        "80=nan",
        "80=1710; 70=1500",
        "٨٠=1710",
        "80=1,710",
        "80" * 200,
        "101\n=1710",
    ],
)
def test_a_text_that_is_no_reading_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(InputError) as caught:
        reading_from_text(text)
    said = str(caught.value)
    assert said.startswith("--reading")
    assert "right would be" in said
    assert "\n" not in said
    assert len(said) < 400


def test_a_head_speed_with_its_thousands_apart_is_not_read_as_two_rpm() -> None:
    for text in ("57=1.750", "57=1,750"):
        with pytest.raises(InputError, match="1750 rpm with no point or comma"):
            reading_from_text(text)


def test_several_pairs_keep_their_order() -> None:
    assert [reading.percent for reading in readings_from_texts(["83=2250", "57=1730"])] == [83.0, 57.0]
