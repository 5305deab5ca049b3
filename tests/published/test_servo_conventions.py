"""Servo pulse conventions: tests/data/channel/servo_pulse_conventions.csv, sources and certainty in each of its rows.

Read: rows by name. The 1000/1500/2000 us rows are read from stored copies; the wide span is from memory.
"""

from steadyhead.channel.pulse import Pulse, percent_of, pulse_us, step_of_counter_us
from tests.agrees import agrees
from tests.channel_rows import channel_rows

VALUE = {row["quantity"]: row["value"] for row in channel_rows("servo_pulse_conventions.csv")}
CLASSIC = Pulse(
    low_us=float(VALUE["low pulse"]), high_us=float(VALUE["high pulse"]), step_us=float(VALUE["timer tick"])
)
EXACT = "the convention is a whole number of microseconds"


def test_half_channel_sends_the_centre_pulse() -> None:
    centre = float(VALUE["centre pulse"])
    assert agrees(pulse_us(CLASSIC, 50.0), centre, percent=1e-9, because=EXACT)
    assert agrees(pulse_us(CLASSIC, 0.0), float(VALUE["low pulse"]), percent=1e-9, because=EXACT)
    assert agrees(pulse_us(CLASSIC, 100.0), float(VALUE["high pulse"]), percent=1e-9, because=EXACT)


def test_travel_of_120_percent_sends_the_wide_span() -> None:
    wide = CLASSIC._replace(travel_low_percent=120.0, travel_high_percent=120.0)
    assert agrees(pulse_us(wide, 0.0), float(VALUE["wide span low"]), percent=1e-9, because=EXACT)
    assert agrees(pulse_us(wide, 100.0), float(VALUE["wide span high"]), percent=1e-9, because=EXACT)
    assert agrees(pulse_us(wide, 50.0), float(VALUE["centre pulse"]), percent=1e-9, because=EXACT)


def test_library_default_span_still_centres_near_the_neutral_pulse() -> None:
    library = Pulse(
        low_us=float(VALUE["library minimum pulse"]), high_us=float(VALUE["library maximum pulse"]), step_us=0.5
    )
    centre = float(VALUE["library default pulse"])
    assert agrees(pulse_us(library, 50.0), centre, percent=2.0, because="544..2400 us is centred on 1472 us, not 1500")
    assert percent_of(library, centre) > 50.0


def test_one_count_of_the_frame_is_the_frame_itself() -> None:
    frame_us = 1000.0 * float(VALUE["frame period"])
    rate_hz = 1e6 / float(VALUE["library refresh"])
    assert agrees(step_of_counter_us(rate_hz, 1), frame_us, percent=1e-9, because="20 ms is 50 frames a second exactly")
