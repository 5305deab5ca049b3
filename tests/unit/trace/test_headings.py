"""A heading is taken apart wherever its unit stands, in whatever language."""

import pytest

from steadyhead.trace.headings import heading_of, words_in
from steadyhead.trace.meaning import claims_of
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.units import units_named


@pytest.mark.parametrize(
    ("text", "unit", "dimension", "factor"),
    [
        ("head speed (rpm)", "rpm", "rotation", 1.0),
        ("Motordrehzahl [1/min]", "1/min", "rotation", 1.0),
        ("Drehzahl in U/min", "U/min", "rotation", 1.0),
        ("pack_voltage_V", "V", "voltage", 1.0),
        ("voltage-mV", "mV", "voltage", 1e-3),
        ("Spannung / V", "V", "voltage", 1.0),
        ("time {ms}", "ms", "time", 1e-3),
        ("temperature (º C)", "º C", "temperature", 1.0),
        ("Höhe [m]", "m", "length", 1.0),
        ("vertical speed (m/s)", "m/s", "velocity", 1.0),
        ("speed (100 rpm)", "100 rpm", "rotation", 100.0),
        ("throttle (0..1)", "0..1", "share", 100.0),
        ("collective [deg]", "deg", "angle", 1.0),
        ("ESC temp (deg)", "deg", "temperature", 1.0),
        ("pack (V, mean)", "V", "voltage", 1.0),
        ("mAh", "mAh", "charge", 1.0),
        ("rpm", "rpm", "rotation", 1.0),
    ],
)
def test_a_unit_is_found_where_it_stands(text: str, unit: str, dimension: str, factor: float) -> None:
    heading = heading_of(text)
    assert heading.unit is not None
    assert (heading.unit.said, heading.dimension) == (unit, dimension)
    assert heading.unit.factor == pytest.approx(factor)


@pytest.mark.parametrize(
    ("text", "dimension"), [("voltage (pack)", "voltage"), ("speed (motor)", "rotation"), ("rpm A", "rotation")]
)
def test_a_word_in_brackets_or_at_the_end_is_no_unit(text: str, dimension: str) -> None:
    heading = heading_of(text)
    assert heading.unit is None or heading.dimension == dimension
    assert heading.dimension == dimension


def test_the_unit_row_comes_first() -> None:
    heading = heading_of("elapsed", "ms")
    assert heading.unit is not None
    assert heading.unit.factor == pytest.approx(1e-3)


def test_words_are_found_in_compounds_camel_case_and_accents() -> None:
    assert {"motor", "speed"} <= words_in("Motordrehzahl")
    assert {"head", "speed"} <= words_in("HeadSpeed")
    assert "height" in words_in("Höhe")
    assert {"tail", "speed"} <= words_in("Heckrotordrehzahl")
    assert {"lowest", "cell"} <= words_in("schwächste Zelle")


def test_an_unknown_unit_is_no_unit() -> None:
    assert units_named("furlongs") == ()
    assert units_named("") == ()


MEANINGS = {
    "Ubat": "pack_voltage_v",
    "Uakku [V]": "pack_voltage_v",
    "vs_m_s": "climb_speed_m_s",
    "tail rotor speed (rpm)": None,
    "target head speed (rpm)": None,
    "Solldrehzahl [1/min]": None,
    "BEC voltage (V)": None,
    "Empfängerspannung [V]": None,
    "motor current (A)": None,
    "ground speed (m/s)": None,
    "distance (m)": None,
    "max cell (V)": None,
    "roll (deg)": None,
    "servo pulse (µs)": None,
    "head speed (rpm)": "head_speed_rpm",
    "head speed from motor (rpm)": "motor_side_speed_rpm",
    "eRPM": "electrical_speed_rpm",
    "Motordrehzahl [1/min]": "motor_speed_rpm",
    "rpm": "some_speed_rpm",
    "Drehzahl [1/min]": "some_speed_rpm",
    "niedrigste Zelle [V]": "lowest_cell_v",
    "tension par élément (V)": "cell_voltage_v",
    "Akku [V]": "pack_voltage_v",
    "courant (A)": "pack_current_a",
    "charge remaining (mAh)": "charge_left_mah",
    "Reglertemperatur [°C]": "controller_temperature_c",
    "temperatura motore (°C)": "motor_temperature_c",
    "vario (m/s)": "climb_speed_m_s",
    "Empfangsqualität [%]": "link_percent",
    "throttle pulse (µs)": "throttle_pulse_us",
    "ESC output (%)": "duty",
    "channel (%)": "throttle_percent",
    "stick (%)": "collective_percent",
    "Verbindung [%]": "link_percent",
    "Wicklungstemperatur [°C]": "motor_temperature_c",
    "E-rpm": "electrical_speed_rpm",
    "Kopfdrehzahl aus Motor [1/min]": "motor_side_speed_rpm",
    "Restkapazität [mAh]": "charge_left_mah",
    "Spannung je Zelle [V]": "cell_voltage_v",
    "throttle command (%)": "throttle_percent",
    "commande gaz (%)": "throttle_percent",
    "requested motor throttle (%)": None,
    "Vin": "pack_voltage_v",
    "amperage": "pack_current_a",
    "controller opening (%)": "duty",
}


@pytest.mark.parametrize("text", MEANINGS)
def test_a_heading_means_what_a_flyer_would_say(text: str) -> None:
    table = RawTable(kind="text", columns=(RawColumn(heading=text),), rows_read=0)
    claims = claims_of(table, {})
    assert next((claim.meaning for claim in claims if not claim.not_plain), None) == MEANINGS[text]


def test_pitch_is_the_attitude_in_a_log_that_has_roll_and_yaw() -> None:
    columns = tuple(RawColumn(heading=text) for text in ("pitch (deg)", "roll (deg)", "yaw (deg)"))
    assert claims_of(RawTable(kind="text", columns=columns, rows_read=0), {}) == ()
    alone = claims_of(RawTable(kind="text", columns=columns[:1], rows_read=0), {})
    assert [claim.meaning for claim in alone] == ["collective_deg"]


def test_a_climb_rate_beside_it_does_not_make_pitch_an_attitude() -> None:
    columns = tuple(RawColumn(heading=text) for text in ("Pitch (deg)", "climb rate (m/s)"))
    claims = claims_of(RawTable(kind="text", columns=columns, rows_read=0), {})
    assert [claim.meaning for claim in claims] == ["collective_deg", "climb_speed_m_s"]
