"""Whatever is kept survives the way out into an archive and back in, bit for bit."""

import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyhead.bench import archive, care
from steadyhead.bench.kept_files import kept_path
from steadyhead.bench.record import add_reading, keep_machine, keep_recording, open_record
from steadyhead.bench.tables import metadata
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.words.verdict import Outcome

SOURCES = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=40)
READINGS = st.builds(
    Reading,
    percent=st.floats(0.0, 100.0),
    head_speed_rpm=st.floats(100.0, 6000.0),
    spread_rpm=st.floats(0.0, 1.0),
    source=SOURCES,
)


def rows(record):
    with record.reading() as connection:
        return {
            table.name: sorted(map(repr, connection.execute(table.select()).all())) for table in metadata.sorted_tables
        }


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(READINGS, max_size=5), st.lists(st.binary(max_size=3000), max_size=3))
def test_export_and_import_give_the_same_record(readings, sounds):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with open_record(folder / "old.sqlite") as old, open_record(folder / "new.sqlite") as new:
            revision = keep_machine(old, bundled("wren450"))
            for reading in readings:
                add_reading(old, revision, reading)
            for number, sound in enumerate(sounds):
                path = folder / f"{number}.wav"
                path.write_bytes(sound)
                keep_recording(old, revision, path)
            written = archive.export(old, folder / "all.zip")
            brought = archive.import_(new, written.archive)
            assert rows(new) == rows(old)
            assert brought.files_added == len(set(sounds))
            for sound in old.files.glob("??/*"):
                assert kept_path(new.files, sound.stem, "wav").read_bytes() == sound.read_bytes()
            assert care.condition(new).verdict is Outcome.PASS
