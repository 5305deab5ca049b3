"""The proposed machine file tells which log a reading came from, and nothing of the disk that the log lay on."""

from steadyhead.channel.result import Reading
from steadyhead.judge.gearing_of import gearing_of
from steadyhead.learn.learning import learned
from steadyhead.learn.proposal import proposal
from steadyhead.learn.unknowns import NARROWED
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.reading import read_trace
from tests.naive import foreign_flight
from tests.naive.foreign_log import foreign_log

FOX = bundled("fox600").read_text("utf-8")


def test_a_proposed_reading_names_its_log_without_the_folder():
    read = Reading(percent=61.0, head_speed_rpm=1810.0, spread_rpm=2.0, source="/some/folder/bench.csv, 1.0 to 9.0 s")
    made = proposal(machine_from_text(FOX, "fox600.toml"), FOX, ("/some/folder/bench.csv",), (), (), (read,))
    assert 'note = "bench.csv, 1.0 to 9.0 s"' in made.text
    assert "/some" not in made.text
    assert machine_from_text(made.text, "proposed.toml").name == "Fox 600"


def test_a_number_that_may_be_twice_as_large_is_not_told(tmp_path):
    # The slow rows of this invented log leave the inertia an end far off: as a spread it was more than the number
    # itself, which no machine file takes, and the command ended there.
    flight = foreign_flight.flight_of(2535)
    text, log = foreign_flight.machine_file(flight), tmp_path / "log"
    log.write_bytes(foreign_log(flight, 2535).data)
    machine = machine_from_text(text, "other.toml")
    found = learned(machine, text, [read_trace(log, gearing=gearing_of(machine), remember=False)])
    told = {one.key: one for one in found.parameters if one.told}
    assert "motor.kv" in told
    for one in told.values():
        assert one.value_interval[1] <= 2.0 * one.value
        assert one.key in NARROWED or 2.0 * one.value < 4.0 * one.value_interval[0]
    assert machine_from_text(found.proposal.text, "proposed.toml").name == machine.name
