import errno
import os
from pathlib import Path

import pytest

from steadyhead.report.files import write_whole


def test_every_file_is_written(tmp_path: Path) -> None:
    write_whole({tmp_path / "new" / "a.html": b"one", tmp_path / "new" / "b.pdf": b"two"})
    assert (tmp_path / "new" / "a.html").read_bytes() == b"one"
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == ["a.html", "b.pdf"]


def test_a_full_disk_leaves_the_old_files_and_nothing_half_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = tmp_path / "a.html", tmp_path / "b.pdf"
    first.write_bytes(b"old")
    synced = os.fsync
    calls = []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")
        synced(handle)

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole({first: b"new", second: b"new"})
    assert first.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["a.html"]


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file", "utf-8")
    with pytest.raises(OSError):
        write_whole({tmp_path / "taken" / "a.html": b"new"})
