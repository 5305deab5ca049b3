"""A machine file that is no machine file: one sentence, no traceback, nothing left behind."""

import os

import pytest

from steadyhead.machine.reading import read_machine
from steadyhead.words.errors import InputError


def said_of(path) -> str:
    with pytest.raises(InputError) as caught:
        read_machine(path)
    text = str(caught.value)
    assert "\n" not in text
    return text


def test_a_file_that_is_not_there_is_named(tmp_path):
    assert "no such file" in said_of(tmp_path / "nothing.toml")


def test_a_directory_is_named(tmp_path):
    assert "a directory" in said_of(tmp_path)


def test_a_path_through_a_file_is_refused(tmp_path):
    (tmp_path / "file").write_text("x")
    assert "a file that cannot be read" in said_of(tmp_path / "file" / "fox.toml")


def test_a_path_that_no_system_takes_is_refused(tmp_path):
    assert "a file that cannot be read" in said_of(tmp_path / "a\0b.toml")
    assert "a file that cannot be read" in said_of(tmp_path / ("x" * 5000))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read_is_named(tmp_path):
    path = tmp_path / "closed.toml"
    path.write_text("x")
    path.chmod(0)
    assert "a file that may not be read" in said_of(path)


def test_a_read_that_is_forbidden_is_named(tmp_path, monkeypatch):
    path = tmp_path / "closed.toml"
    path.write_text("x")

    def forbidden(self):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "read_bytes", forbidden)
    assert "a file that may not be read" in said_of(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    assert "a device or a pipe" in said_of(tmp_path / "pipe.toml")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "an empty file"),
        (b"\xef\xbb\xbf", "an empty file"),
        (b" \r\n\t", "an empty file"),
        (b"name = \"x\"\nmass = \"3\xb0\"\n", "line 2: read byte 0xb0, which is not UTF-8"),
        ("[machine]\nname = 'x'\n".encode("utf-16"), "line 1: read byte 0xff, which is not UTF-8"),
        (bytes(range(256)), "which is not UTF-8"),
        (b"\x00\x00\x00", "right would be TOML"),
        (b"time,rpm\n0,1\n", "right would be TOML"),
        (b"{\"machine\": 3}", "right would be TOML"),
        (b"[machine]\rname = 'x'\r", "right would be TOML"),
        (b"[machine]\n[machine]\n", "line 2"),
        (b"a = " + b"[" * 1900, "right would be TOML"),
        (b"a = " + b"{b=" * 600, "right would be TOML"),
        (b"a" + b".a" * 900 + b" = 1", "unknown key"),
        (b"a" + b".a" * 20000 + b" = 1", "line 1: read 40005 characters; right would be a line of at most 2000"),
        (b"a = 9999-99-99", "right would be TOML"),
        (b"[[machine]]\n", "machine: read a list"),
        (b"machine = 2020-01-01\n", "machine: read 2020-01-01"),
        (b"x" * 300_000, "at most 200000 bytes"),
    ],
)  # fmt: skip
def test_bytes_that_are_no_machine_file_get_one_sentence(tmp_path, data, said):
    path = tmp_path / "odd.toml"
    path.write_bytes(data)
    text = said_of(path)
    assert said in text
    assert len(text) < 3000
    assert list(tmp_path.iterdir()) == [path]
