"""A file that cannot be read is refused for what it is, in words a flyer knows."""

import gzip
from pathlib import Path

import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError

CSV = b"time (s),duty (%)\n" + b"\n".join(b"%.2f,%d" % (0.05 * k, 60 + k % 5) for k in range(200)) + b"\n"
ARRAY = b'[\n{"time": 0.0, "duty": 61},\n{"time": 0.05, "duty": 62}\n]\n'


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (gzip.compress(gzip.compress(CSV)), "a gzip file within a gzip file"),
        (gzip.compress(CSV)[:-40] + b"\xff" * 40, "broken gzip|breaks off"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "old spreadsheet"),
        (ARRAY, "one JSON document"),
        (ARRAY.replace(b"\n", b""), "one JSON document"),
        (b'{"time": [0.0, 0.05], "duty": [61, 62]}\n', "one JSON document"),
        (b'{\n "time": [0.0, 0.05],\n "duty": [61, 62]\n}\n', "one JSON document"),
        (b"PAR1" + bytes(400) + b"PAR1", "a broken Parquet file;"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_for_what_it_is(data: bytes, reason: str, tmp_path: Path) -> None:
    path = tmp_path / "log"
    path.write_bytes(data)
    with pytest.raises(InputError, match=reason) as refused:
        read_trace(path, remember=False)
    assert not {"Error", "Errno", "decompressing"} & set(str(refused.value).replace(":", " ").split())


def test_links_in_a_ring_are_refused_without_a_number_of_the_system(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.symlink_to(path)
    with pytest.raises(InputError, match="cannot be read") as refused:
        read_trace(path, remember=False)
    assert "Errno" not in str(refused.value)
