"""The proposed machine file tells which log a reading came from, and nothing of the disk that the log lay on."""

from steadyhead.channel.result import Reading
from steadyhead.learn.proposal import proposal
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text

FOX = bundled("fox600").read_text("utf-8")


def test_a_proposed_reading_names_its_log_without_the_folder():
    read = Reading(percent=61.0, head_speed_rpm=1810.0, spread_rpm=2.0, source="/some/folder/bench.csv, 1.0 to 9.0 s")
    made = proposal(machine_from_text(FOX, "fox600.toml"), FOX, ("/some/folder/bench.csv",), (), (), (read,))
    assert 'note = "bench.csv, 1.0 to 9.0 s"' in made.text
    assert "/some" not in made.text
    assert machine_from_text(made.text, "proposed.toml").name == "Fox 600"
