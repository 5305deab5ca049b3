"""A live server on loopback and what a hostile neighbour sends it: uploads, half requests, floods, sockets."""

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

from steadyhead.bench import shelf
from steadyhead.bench.record import keep_machine, open_record
from steadyhead.machine.bundled import bundled
from tests.browser.conftest import free_port

LIMIT_BYTES = 1 << 20
"""Largest upload of this server: the limit is the guard's own, made small so that a test can pass it."""
DRIVER = """
import sys
from pathlib import Path
from steadyhead.web import guard, serve
guard.Guard.__init__.__kwdefaults__["largest_bytes"] = int(sys.argv[3])
serve.serve(Path(sys.argv[1]), port=int(sys.argv[2]), tell=print)
"""


class Live:
    """The server, where it listens, and the folder that it may lay uploads into."""

    def __init__(self, home) -> None:
        self.home, self.port, self.uploads = home, free_port(), home / "tmp"
        self.uploads.mkdir()
        with open_record(home / "record.sqlite") as record:
            keep_machine(record, bundled("fox600"))
        words = [sys.executable, "-c", DRIVER, str(home / "record.sqlite"), str(self.port), str(LIMIT_BYTES)]
        self.process = subprocess.Popen(
            words, env={**os.environ, "TMPDIR": str(self.uploads)}, stdout=subprocess.DEVNULL, start_new_session=True
        )
        end = time.monotonic() + 90.0
        while not self.answers():
            if time.monotonic() > end or self.process.poll() is not None:
                self.close()
                raise TimeoutError("the server does not answer")
            time.sleep(0.2)

    def close(self) -> None:
        """Kill the server with its workers."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def answers(self) -> bool:
        """Whether a plain visitor is answered."""
        try:
            return "Stages of the job" in self.page("/m/Fox%20600/logs")
        except OSError:
            return False

    def page(self, path: str) -> str:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        line.request("GET", path)
        answer = line.getresponse()
        text = answer.read().decode()
        line.close()
        assert answer.status == 200, answer.status
        return text

    def upload_path(self) -> str:
        """Return the way that the page of logs brings a file by."""
        return re.search(r"/_nicegui/client/[0-9a-f-]+/upload/\d+", self.page("/m/Fox%20600/logs")).group(0)

    def bring(self, name: str, *, origin: str | None = None, host: str = "") -> int:
        """Bring a small file under any name, past any browser, and return the status."""
        body = (
            f'--part\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n'
            "Content-Type: text/csv\r\n\r\ntime_s,head_speed_rpm\r\n0,2000\r\n\r\n--part--\r\n"
        ).encode()
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        line.putrequest("POST", self.upload_path(), skip_host=True)
        line.putheader("Host", host or f"127.0.0.1:{self.port}")
        if origin != "":
            line.putheader("Origin", origin or self.origin)
        line.putheader("Content-Type", "multipart/form-data; boundary=part")
        line.putheader("Content-Length", str(len(body)))
        line.endheaders(body)
        status = line.getresponse().status
        line.close()
        return status

    def head(self, length: str) -> bytes:
        """Return the head of an upload that says how long it is."""
        return (
            f"POST {self.upload_path()} HTTP/1.1\r\nHost: 127.0.0.1:{self.port}\r\nOrigin: {self.origin}\r\n"
            f"Content-Type: multipart/form-data; boundary=part\r\n{length}\r\n\r\n"
        ).encode()

    def begun(self, sent: bytes) -> socket.socket:
        line = socket.create_connection(("127.0.0.1", self.port), timeout=30)
        line.sendall(sent)
        return line

    def laid(self) -> list:
        """Return every file in the folder for uploads."""
        return [path for path in self.uploads.rglob("*") if path.is_file()]

    def kept(self) -> list:
        with open_record(self.home / "record.sqlite") as record:
            return [*shelf.logs(record, "Fox 600"), *shelf.recordings(record, "Fox 600")]


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    made = Live(tmp_path_factory.mktemp("hostile"))
    yield made
    made.close()


NAMES = (
    "../../evil.csv",
    "/var/evil.csv",
    "..\\\\..\\\\evil.csv",
    "a/../../../evil.csv",
    "....//....//evil.csv",
    "%2e%2e%2fevil.csv",
    ".evil.csv",
    "evil.csv" * 60,
)


def test_a_name_that_leads_elsewhere_stays_in_a_folder_of_the_servers_own_choice(live):
    for name in NAMES:
        assert live.bring(name) == 200, name
    end = time.monotonic() + 60.0
    while len(laid := [path for path in live.laid() if "evil" in path.name]) < len(NAMES):
        assert time.monotonic() < end, laid
        time.sleep(0.2)
    place = re.compile(r"steadyhead-[^/]+/[0-9a-f]{16}/[^/]*evil[^/]*")
    assert all(place.fullmatch(str(path.relative_to(live.uploads))) for path in laid)
    outside = {path for path in live.home.rglob("*evil*")} - set(live.uploads.rglob("*evil*"))
    assert not outside
    assert not [path for path in ("/var/evil.csv", "/evil.csv") if os.path.exists(path)]
    assert live.answers()


@pytest.mark.parametrize(
    ("said", "status"),
    [
        ({"origin": "https://evil.example"}, 403),
        ({"origin": "null"}, 403),
        ({"origin": ""}, 403),
        ({"host": "evil.example"}, 421),
        ({"host": "127.0.0.1"}, 421),
    ],
)
def test_a_page_from_elsewhere_brings_no_file(live, said, status):
    before = len(live.laid())
    assert live.bring("strange.csv", **said) == status
    assert len(live.laid()) == before


def answer_of(line) -> bytes:
    try:
        return line.recv(65536)
    except ConnectionError:
        return b""


def test_a_file_over_the_limit_is_refused_whether_it_says_its_length_or_not(live):
    with live.begun(live.head(f"Content-Length: {LIMIT_BYTES + 1}")) as line:
        assert answer_of(line).startswith(b"HTTP/1.1 413")
    head = b'--part\r\nContent-Disposition: form-data; name="file"; filename="long.csv"\r\n\r\n'
    with live.begun(live.head("Transfer-Encoding: chunked")) as line:
        told = b""
        try:
            line.sendall(b"%x\r\n%s\r\n" % (len(head), head))
            for _ in range(40):
                line.sendall(b"10000\r\n" + b"1" * 65536 + b"\r\n")
            line.sendall(b"0\r\n\r\n")
        except ConnectionError:
            told = b"closed"
        told = answer_of(line) or told
        assert told.startswith((b"HTTP/1.1 413", b"closed")), told[:80]
    assert not [path for path in live.laid() if "long" in path.name]
    assert live.answers()
    assert live.kept() == []


def test_uploads_that_are_sent_by_halves_keep_nobody_out_and_leave_nothing(live):
    before = set(live.laid())
    head, part = (
        live.head("Content-Length: 900000"),
        b'--part\r\nContent-Disposition: form-data; name="file"; filename="half.csv"\r\n\r\n1,2',
    )
    held = [live.begun(head + part) for _ in range(60)]
    assert live.answers()
    for line in held:
        line.close()
    assert live.answers()
    assert not [path for path in set(live.laid()) - before if "half" in path.name]
    assert live.kept() == []


def test_two_hundred_connections_at_once_are_answered(live):
    with ThreadPoolExecutor(50) as many:
        pages = list(many.map(lambda _: live.page("/static/ear.js"), range(200)))
    assert all("class Ear" in page for page in pages)
    held = [live.begun(b"GET / HTTP/1.1\r\n") for _ in range(200)]
    assert live.answers()
    for line in held:
        line.close()


def spoken(live, *sent):
    """Send blocks into a line that a page was promised, and return how the line ended."""
    name = re.search(r"/live/[\w-]+", live.page("/m/Fox%20600/sound")).group(0)
    with connect(f"ws://127.0.0.1:{live.port}{name}?rate=48000", origin=live.origin) as line:
        try:
            for block in sent:
                line.send(block)
            while True:
                line.recv(timeout=30)
        except ConnectionClosed as ended:
            return ended.rcvd


def test_a_line_that_sends_what_no_microphone_sends_is_closed_with_a_sentence(live):
    assert "two bytes each" in spoken(live, b"abc").reason
    assert spoken(live, b"0" * (3 << 20)).code == 1009
    assert live.answers()
    assert live.kept() == []
