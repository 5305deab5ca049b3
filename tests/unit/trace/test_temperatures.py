"""A temperature whose owner the heading does not say is named, and kept for whoever judges it."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from tests.unit.trace.flights import TIME_S, flight, heading_of

WARM = 30.0 + 1.6 * TIME_S
CHANNEL = "controller_temperature_c"


@pytest.mark.parametrize("heading", ["ESC1 temperature (°C)", "ESC1 temp C", "FET2 temp", "esc_1_temp"])
def test_a_running_number_does_not_hide_the_controller(heading: str, tmp_path: Path) -> None:
    assert heading_of(flight(tmp_path, last={heading: WARM}), CHANNEL) == heading


@pytest.mark.parametrize("heading", ["MCU temp (°C)", "XYZ temperature [°C]"])
def test_a_temperature_of_nobody_is_told_and_noted(heading: str, tmp_path: Path) -> None:
    trace = flight(tmp_path, last={heading: WARM})
    assert not trace.has(CHANNEL)
    assert [(one.channel, one.heading) for one in trace.unread] == [(CHANNEL, heading)]
    assert any("does not say whose temperature it is" in word for word in trace.warnings)


@pytest.mark.parametrize(("meaning", "has"), [("ignore", False), (CHANNEL, True)])
def test_a_word_about_it_is_the_end_of_it(meaning: str, has: bool, tmp_path: Path) -> None:
    flight(tmp_path, last={"MCU temp (°C)": WARM})
    trace = read_trace(tmp_path / "log.csv", mapping={"MCU temp (°C)": meaning}, remember=False)
    assert trace.has(CHANNEL) is has
    assert not trace.unread
    assert not any("MCU" in word for word in trace.warnings)


@pytest.mark.parametrize("heading", ["GPS temp (°C)", "outside temperature (°C)", "receiver temp (°C)", "acc F"])
def test_a_temperature_of_something_else_is_no_matter(heading: str, tmp_path: Path) -> None:
    assert not flight(tmp_path, last={heading: WARM}).unread


@pytest.mark.parametrize(
    "columns",
    [
        {"ESC max temperature (°C)": WARM},
        {"ESC temperature": WARM + 273.15},
        {"ESC1 temp (°C)": WARM, "ESC2 temp (°C)": np.flip(WARM)},
    ],
    ids=["a highest value", "kelvin without a unit", "two that differ"],
)
def test_a_controller_that_is_left_out_is_noted(columns: dict[str, np.ndarray], tmp_path: Path) -> None:
    trace = flight(tmp_path, last=columns)
    assert [one.heading for one in trace.unread] == list(columns)
