"""A shared server as the field sees it: https, and nothing for anybody without the token, however he asks."""

import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time

import pytest

from steadyhead.web.serve import field_address
from steadyhead.words.errors import InputError
from tests.browser.conftest import free_port

TOKEN = re.compile(r"https://([0-9.]+):(\d+)/\?token=([A-Za-z0-9_-]+)")


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    try:
        field_address()
    except InputError:
        pytest.skip("this machine stands in no network")
    home = tmp_path_factory.mktemp("share")
    told = home / "told.txt"
    with told.open("w") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "steadyhead", "serve", "--share", "--port", str(free_port())],
            env={**os.environ, "STEADYHEAD_HOME": str(home)}, stdout=out, stderr=out, start_new_session=True,
        )  # fmt: skip
    end = time.monotonic() + 90.0
    while not (found := TOKEN.search(told.read_text())):
        assert time.monotonic() < end, told.read_text()
        assert process.poll() is None, told.read_text()
        time.sleep(0.2)
    time.sleep(1.0)
    yield found.group(1), int(found.group(2)), found.group(3), home
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def asked(shared, request: bytes) -> bytes:
    """Send raw bytes over TLS and return the head of the answer."""
    host, port, _, _ = shared
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    with socket.create_connection((host, port), timeout=20) as plain, context.wrap_socket(plain) as line:
        line.sendall(request)
        line.settimeout(20)
        try:
            return line.recv(65536)
        except (TimeoutError, ConnectionError):
            return b""


def get(shared, path: str, *, host: str | None = None, more: str = "") -> bytes:
    own = host or f"{shared[0]}:{shared[1]}"
    return asked(shared, f"GET {path} HTTP/1.1\r\nHost: {own}\r\n{more}Connection: close\r\n\r\n".encode("latin-1"))


HOSTILE = (
    "/",
    "/static/ear.js",
    "/static/../../../../etc/passwd",
    "/static/%2e%2e/%2e%2e/%2e%2e/etc/passwd",
    "/static//etc/passwd",
    "/kept/sheet/../../record.sqlite",
    "/m/Fox%20600/sheet",
    "/_nicegui_ws/socket.io/?EIO=4&transport=polling",
    "/?token=",
    "/?token=" + "A" * 32,
    "/?token=%00",
    "/live/x?rate=48000",
    "http://evil.example/",
)


@pytest.mark.parametrize("path", HOSTILE)
def test_nothing_is_read_without_the_token(shared, path):
    answer = get(shared, path)
    assert answer.startswith((b"HTTP/1.1 403", b"HTTP/1.1 400", b"HTTP/1.1 421")), answer[:80]
    assert b"root:" not in answer
    assert b"class Ear" not in answer


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "TRACE", "CONNECT", "NONSENSE"])
def test_nothing_is_written_without_the_token(shared, method):
    host, port, _, _ = shared
    line = (
        f"{method} / HTTP/1.1\r\nHost: {host}:{port}\r\nOrigin: https://{host}:{port}\r\nContent-Length: 4\r\n\r\nevil"
    )
    assert not asked(shared, line.encode()).startswith(b"HTTP/1.1 2")


SOCKETS = ("/live/x?rate=48000", "/_nicegui_ws/socket.io/?EIO=4&transport=websocket")


def upgraded(shared, path: str, more: str) -> bytes:
    """Ask for a web socket, and return the head of the answer."""
    host, port, _, _ = shared
    lines = (
        f"GET {path} HTTP/1.1\r\nHost: {host}:{port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
        f"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n{more}\r\n"
    )
    return asked(shared, lines.encode())


def test_a_web_socket_without_the_token_is_refused(shared):
    host, port, _, _ = shared
    for path in SOCKETS:
        assert upgraded(shared, path, f"Origin: https://{host}:{port}\r\n").startswith(b"HTTP/1.1 403")


def test_another_name_and_plain_http_get_nothing(shared):
    assert get(shared, "/", host="evil.example").startswith(b"HTTP/1.1 421")
    with socket.create_connection(shared[:2], timeout=20) as line:
        line.sendall(f"GET / HTTP/1.1\r\nHost: {shared[0]}:{shared[1]}\r\n\r\n".encode())
        line.settimeout(5)
        try:
            answer = line.recv(4096)
        except (TimeoutError, ConnectionError):
            answer = b""
    assert b"200 OK" not in answer


def test_the_secret_key_is_its_owners_only(shared):
    assert (shared[3] / "field-key.pem").stat().st_mode & 0o077 == 0


@pytest.fixture(scope="module")
def admitted(shared):
    """The token that let a visitor in, and the visitor's cookie."""
    token = TOKEN.findall((shared[3] / "told.txt").read_text())[-1][2]
    first = get(shared, f"/?token={token}")
    assert first.startswith(b"HTTP/1.1 303")
    return token, re.search(rb"set-cookie: ([^;\r]+)", first, re.IGNORECASE).group(1).decode()


def test_the_token_opens_once(shared, admitted):
    token, cookie = admitted
    assert get(shared, "/", more=f"Cookie: {cookie}\r\n").startswith(b"HTTP/1.1 200")
    assert get(shared, f"/?token={token}").startswith(b"HTTP/1.1 403")
    inside = get(shared, "/static/../../../../etc/passwd", more=f"Cookie: {cookie}\r\n")
    assert b"root:" not in inside


@pytest.mark.parametrize(
    "head",
    [
        "Host: localhost:{port}",
        "Host: 127.0.0.1:{port}",
        "Host: {host}:{port}.evil.example",
        "Host: {host}",
        "Host: {host}:{port}\r\nHost: evil.example",
        "Host: evil.example\r\nHost: {host}:{port}",
        "Host: evil.example\r\nX-Forwarded-Host: {host}:{port}",
        "Host: evil.example\r\nForwarded: host={host}:{port}",
        "Host: {host}:{port}/@evil.example",
        "X-Nothing: 1",
    ],
)
def test_a_visitor_is_answered_under_the_servers_own_name_alone(shared, admitted, head):
    """Two hosts in one request are to be refused with 400: RFC 9112, section 3.2."""
    host, port, _, _ = shared
    lines = head.format(host=host, port=port)
    answer = asked(shared, f"GET / HTTP/1.1\r\n{lines}\r\nCookie: {admitted[1]}\r\n\r\n".encode())
    assert answer.startswith((b"HTTP/1.1 421", b"HTTP/1.1 400")), answer[:80]


@pytest.mark.parametrize("origin", ["https://evil.example", "null", "http://{host}:{port}", "https://{host}", ""])
def test_a_page_from_elsewhere_opens_no_web_socket_with_a_visitors_cookie(shared, admitted, origin):
    host, port, _, _ = shared
    said = f"Origin: {origin.format(host=host, port=port)}\r\n" if origin else ""
    for path in SOCKETS:
        assert upgraded(shared, path, f"{said}Cookie: {admitted[1]}\r\n").startswith(b"HTTP/1.1 403")


def test_the_visitors_own_page_opens_a_web_socket_and_a_spent_token_does_not(shared, admitted):
    host, port, _, _ = shared
    own = f"Origin: https://{host}:{port}\r\n"
    path = f"{SOCKETS[0]}&token={admitted[0]}"
    assert upgraded(shared, path, f"{own}Cookie: {admitted[1]}\r\n").startswith(b"HTTP/1.1 101")
    assert upgraded(shared, path, own).startswith(b"HTTP/1.1 403")


@pytest.mark.parametrize("length", ["999999999999999", "536870913", "-1", "1e9", "0x10"])
def test_a_body_that_is_too_large_is_refused_before_it_is_sent(shared, admitted, length):
    host, port, _, _ = shared
    began = time.monotonic()
    answer = asked(
        shared,
        f"POST / HTTP/1.1\r\nHost: {host}:{port}\r\nOrigin: https://{host}:{port}\r\nCookie: {admitted[1]}\r\n"
        f"Content-Length: {length}\r\n\r\n".encode(),
    )
    assert answer.startswith((b"HTTP/1.1 413", b"HTTP/1.1 400")), answer[:80]
    assert time.monotonic() - began < 15.0


def test_a_stranger_who_sends_no_body_is_refused_at_once(shared):
    host, port, _, _ = shared
    head = f"POST / HTTP/1.1\r\nHost: {host}:{port}\r\nOrigin: https://{host}:{port}\r\nContent-Length: 900000\r\n\r\n"
    assert asked(shared, head.encode()).startswith(b"HTTP/1.1 403")


def test_many_half_sent_requests_keep_nobody_out(shared, admitted):
    host, port, _, _ = shared
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    held = []
    try:
        for number in range(120):
            line = context.wrap_socket(socket.create_connection((host, port), timeout=20))
            line.sendall(f"GET /{number} HTTP/1.1\r\nHost: {host}:{port}\r\nX-Slow: ".encode())
            held.append(line)
        assert get(shared, "/", more=f"Cookie: {admitted[1]}\r\n").startswith(b"HTTP/1.1 200")
        assert get(shared, "/").startswith(b"HTTP/1.1 403")
    finally:
        for line in held:
            line.close()
