import pytest

from steadyhead.report.palette import DARK, LIGHT, PICTURE, SHADES, variables

TEXT = ("ink", "soft", "pass", "fail", "unknown", "blue", "plum")
GROUNDS = ("paper", "wash")


def brightness(shade: str) -> float:
    parts = [int(shade[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((brightness(one), brightness(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("shades", [LIGHT, DARK], ids=["light", "dark"])
def test_every_text_colour_reads_on_every_ground(shades: dict[str, str]) -> None:
    # WCAG 2.2, success criterion 1.4.3: contrast of text at least 4.5 to 1.
    for text in TEXT:
        for ground in GROUNDS:
            assert contrast(shades[text], shades[ground]) >= 4.5, (text, ground)


@pytest.mark.parametrize("shades", [LIGHT, DARK], ids=["light", "dark"])
def test_letters_read_on_the_shades_of_a_log(shades: dict[str, str]) -> None:
    for shade in set(SHADES.values()):
        assert contrast(shades["ink"], shades[shade]) >= 4.5
        assert contrast(shades["fail"], shades[shade]) >= 4.5


def test_dots_of_a_picture_are_seen_on_paper_and_in_the_dark() -> None:
    # WCAG 2.2, success criterion 1.4.11: contrast of what is no text at least 3 to 1.
    assert contrast(PICTURE, LIGHT["paper"]) >= 3.0
    assert contrast(PICTURE, DARK["paper"]) >= 3.0


def test_each_colour_stands_once_so_that_a_drawing_can_change_its_ground() -> None:
    assert set(LIGHT) == set(DARK)
    assert len(set(LIGHT.values())) == len(LIGHT)
    assert variables({"ink": "#000000"}) == "--ink: #000000;"
