"""The record on disks that refuse: mounted read-only, full to the last block, and after a cut that kept a name only.

The mounts are real ones, made in a mount space of their own that ends with the test; without root they are skipped.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from steadyhead.bench import archive, care
from steadyhead.bench.kept_files import keep, sha256_of
from steadyhead.bench.record import add_reading, keep_machine, keep_recording, open_record, readings
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.words.verdict import Outcome

MOUNTS = hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("unshare") is not None
mounts = pytest.mark.skipif(not MOUNTS, reason="only root may mount")


def reading(rpm: float) -> Reading:
    return Reading(percent=50.0, head_speed_rpm=rpm, spread_rpm=1.0, source="hand")


def on_a_small_disk(folder: Path, size: str, before: str, words: list[str]) -> subprocess.CompletedProcess[str]:
    """Mount a small disk at `folder`, run `before` in the shell, then steadyhead with `words`; copy the disk out."""
    out = folder.with_name("out")
    script = (
        f"mount -t tmpfs -o size={size} none '{folder}' || exit 99\n{before}\n"
        '"$@"; code=$?\n'
        f"mkdir -p '{out}'; cp -a '{folder}/.' '{out}/'; exit $code"
    )
    return subprocess.run(
        ["unshare", "-m", "sh", "-c", script, "sh", sys.executable, *words],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip


def one_sentence(ran: subprocess.CompletedProcess[str], *says: str) -> None:
    if ran.returncode == 99:
        pytest.skip("this machine lets nobody mount")
    assert ran.returncode == 2, ran.stdout + ran.stderr
    told = ran.stderr.strip()
    assert "Traceback" not in told
    assert len(told.splitlines()) <= 4, told
    for word in says:
        assert word in " ".join(told.split()), told


@pytest.fixture
def filled(tmp_path) -> Path:
    path = tmp_path / "made" / "record.sqlite"
    with open_record(path) as record:
        revision = keep_machine(record, bundled("wren450"))
        for count in range(20):
            add_reading(record, revision, reading(1500.0 + count))
    return path


@pytest.fixture
def disk(tmp_path) -> Path:
    folder = tmp_path / "disk"
    folder.mkdir()
    return folder


@mounts
def test_a_record_on_a_disk_that_may_only_be_read_is_one_sentence(filled, disk):
    before = f"cp -a '{filled.parent}/.' '{disk}/' && mount -o remount,ro '{disk}'"
    words = [
        "-m",
        "steadyhead",
        "bench",
        str(bundled("wren450")),
        "--record",
        str(disk / "record.sqlite"),
        "--answer",
        "yes",
    ]
    one_sentence(on_a_small_disk(disk, "4m", before, words), "may only be read", "--record")
    copied = disk.with_name("out") / "record.sqlite"
    assert copied.read_bytes() == filled.read_bytes()


@mounts
def test_a_new_record_on_a_disk_that_may_only_be_read_is_one_sentence(disk):
    place = str(disk / "new" / "record.sqlite")
    words = ["-m", "steadyhead", "bench", str(bundled("wren450")), "--record", place, "--answer", "yes"]
    one_sentence(on_a_small_disk(disk, "1m", f"mount -o remount,ro '{disk}'", words), "refuses", "--record")
    assert list(disk.with_name("out").iterdir()) == []


FILL = """
import sys
from pathlib import Path
from steadyhead.bench.record import add_reading, keep_machine, keep_recording, open_record
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.words.errors import InputError
folder = Path(sys.argv[1])
record = open_record(folder / "record.sqlite")
revision = keep_machine(record, bundled("wren450"))
said = 0
try:
    for count in range(1_000_000):
        rpm = 3000.0 + count / 1000.0
        if count % 10 == 0:
            sound = folder.with_name("sound.wav")
            sound.write_bytes(count.to_bytes(4, "little") * 4000)
            keep_recording(record, revision, sound)
        add_reading(record, revision, Reading(percent=50.0, head_speed_rpm=rpm, spread_rpm=1.0, source="full"))
        said = count + 1
except InputError as error:
    sys.stdout.write(str(said))
    sys.stderr.write(str(error))
    sys.exit(2)
"""


@mounts
@pytest.mark.parametrize("size", ["600k", "1100k", "1400k"])
def test_a_full_disk_is_one_sentence_and_keeps_all_that_was_confirmed(filled, disk, size):
    before = f"cp -a '{filled.parent}/.' '{disk}/'"
    ran = on_a_small_disk(disk, size, before, ["-c", FILL, str(disk)])
    one_sentence(ran)
    assert any(word in ran.stderr for word in ("a full disk", "No space left")), ran.stderr
    confirmed = int(ran.stdout)
    assert confirmed > 0
    with open_record(disk.with_name("out") / "record.sqlite") as record:
        there = {r.head_speed_rpm for r in readings(record, "Wren 450")}
        assert {1500.0 + count for count in range(20)} <= there
        assert {3000.0 + count / 1000.0 for count in range(confirmed)} <= there
        found = care.condition(record)
        assert (found.verdict, found.faults) == (Outcome.PASS, ())
        for name in found.leftovers:
            left = next(record.files.rglob(name))
            assert sha256_of(left) == left.stem, "a file may be there that no row names, but none half-written"


def test_content_then_name_then_folder_reach_the_disk_in_that_order(tmp_path, monkeypatch):
    """A cut of the power may come between any two of them: the name must never be there before its content."""
    happened = []
    synced, replaced = os.fsync, os.replace

    def fsync(handle):
        happened.append("folder" if os.path.isdir(f"/proc/self/fd/{handle}") else "content")
        synced(handle)

    def replace(old, new):
        happened.append("name")
        replaced(old, new)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(os, "replace", replace)
    keep(tmp_path / "files", [b"invented"], "wav")
    assert happened == ["folder", "content", "folder", "name", "folder"]
    with open_record(tmp_path / "new" / "record.sqlite") as record:
        keep_machine(record, bundled("wren450"))
        happened.clear()
        archive.export(record, tmp_path / "all.zip")
        assert happened == ["content", "name", "folder"]
        happened.clear()
        care.backup(record, tmp_path / "stick" / "copy.sqlite")
        assert happened == ["folder", "name", "folder"], "SQLite itself brings the content of the copy to the disk"


@pytest.mark.skipif(shutil.which("strace") is None, reason="no strace on this machine")
def test_a_reading_is_synced_to_the_disk_before_it_is_said(tmp_path):
    """The kernel's own account: between the write of a reading and its confirmation stands a sync of the record."""
    script = (
        "import os, sys; from pathlib import Path\n"
        "from steadyhead.bench.record import add_reading, keep_machine, open_record\n"
        "from steadyhead.channel.result import Reading\n"
        "from steadyhead.machine.bundled import bundled\n"
        "record = open_record(Path(sys.argv[1]))\n"
        "revision = keep_machine(record, bundled('wren450'))\n"
        "for count in range(5):\n"
        "    os.write(1, b'BEGIN')\n"
        "    taken = Reading(percent=50.0, head_speed_rpm=1500.0 + count, spread_rpm=1.0, source='x')\n"
        "    add_reading(record, revision, taken)\n"
        "    os.write(1, b'SAID')\n"
    )
    trace = tmp_path / "trace.txt"
    ran = subprocess.run(
        ["strace", "-f", "-e", "trace=write,pwrite64,fsync,fdatasync", "-o", str(trace), sys.executable, "-c", script,
         str(tmp_path / "record.sqlite")],
        capture_output=True, text=True, check=False, timeout=180,
    )  # fmt: skip
    if "PTRACE" in ran.stderr or "ptrace" in ran.stderr:
        pytest.skip("this machine lets nobody trace")
    assert ran.returncode == 0, ran.stderr
    parts = trace.read_text("utf-8", "replace").split('"BEGIN"')[1:]
    assert len(parts) == 5
    for part in parts:
        until = part.split('"SAID"')[0]
        assert "pwrite64" in until
        assert "sync(" in until[until.rindex("pwrite64") :], until


def test_a_file_whose_name_survived_a_cut_without_its_content_is_found(tmp_path):
    with open_record(tmp_path / "record.sqlite") as record:
        revision = keep_machine(record, bundled("wren450"))
        for number, left in enumerate((0, 1, 4096, 9_999)):
            sound = tmp_path / f"{number}.wav"
            sound.write_bytes(bytes([number]) * 10_000)
            keep_recording(record, revision, sound)
            newest = max(record.files.glob("??/*.wav"), key=lambda path: path.stat().st_mtime_ns)
            os.truncate(newest, left)
        found = care.condition(record)
        assert found.verdict is Outcome.FAIL
        assert len(found.faults) == 4
        assert all("damaged" in fault for fault in found.faults)
        sound = tmp_path / "0.wav"
        keep_recording(record, revision, sound)
        assert len(care.condition(record).faults) == 3, "bringing the file again mends it"
