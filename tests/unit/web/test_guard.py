"""The guard before the server: hosts, origins, tokens, sizes. Hostile requests of every kind get nothing."""

import pytest
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.testclient import TestClient
from starlette.websockets import WebSocket, WebSocketDisconnect

from steadyhead.web.guard import COOKIE, Guard
from steadyhead.web.tokens import LIVES_S, Tokens

SOCKET = "wss://192.0.2.7:8420/live"
HERE = "https://192.0.2.7:8420"


async def secret(request):
    body = await request.body()
    return PlainTextResponse(f"secret {len(body)}")


async def talk(socket: WebSocket):
    await socket.accept()
    await socket.send_text("secret")
    await socket.close()


def inner():
    routes = [Route("/", secret, methods=["GET", "POST"]), Route("/page", secret), WebSocketRoute("/live", talk)]
    return Starlette(routes=routes)


class Clock:
    now_s = 0.0

    def __call__(self):
        return self.now_s


@pytest.fixture
def told():
    return []


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def shared(told, clock):
    tokens = Tokens(told.append, clock)
    tokens.renew()
    guarded = Guard(inner(), origins=frozenset({HERE}), tokens=tokens, largest_bytes=1000)
    return TestClient(guarded, base_url=HERE, follow_redirects=False)


@pytest.fixture
def loopback():
    guarded = Guard(inner(), origins=frozenset({"http://127.0.0.1:8420"}), largest_bytes=1000)
    return TestClient(guarded, base_url="http://127.0.0.1:8420", follow_redirects=False)


def test_without_the_token_nothing_is_readable(shared):
    for path in (
        "/",
        "/page",
        "/live",
        "/nothing",
        "/../etc/passwd",
        "/%2e%2e/etc/passwd",
        "/?token=",
        "/?token=guess",
    ):
        answer = shared.get(path)
        assert answer.status_code == 403
        assert "secret" not in answer.text


def test_without_the_token_nothing_is_writable(shared):
    assert shared.post("/", content=b"x", headers={"origin": HERE}).status_code == 403
    assert shared.put("/", content=b"x", headers={"origin": HERE}).status_code == 403


def test_without_the_token_no_web_socket_opens(shared):
    with pytest.raises(WebSocketDisconnect), shared.websocket_connect(SOCKET, headers={"origin": HERE}):
        pass


def test_the_token_lets_one_visitor_in_once(shared, told):
    first = shared.get(f"/page?token={told[0]}&mode=1")
    assert first.status_code == 303
    assert first.headers["location"] == "/page?mode=1"
    assert "HttpOnly" in first.headers["set-cookie"]
    assert "Secure" in first.headers["set-cookie"]
    assert shared.get("/page").text == "secret 0"
    shared.cookies.clear()
    assert shared.get(f"/page?token={told[0]}").status_code == 403


def test_a_spent_token_is_followed_by_a_new_one(shared, told):
    shared.get(f"/?token={told[0]}")
    assert len(told) == 2
    assert told[0] != told[1]
    shared.cookies.clear()
    assert shared.get(f"/?token={told[1]}").status_code == 303


def test_a_token_grows_old(shared, told, clock):
    clock.now_s = LIVES_S + 1.0
    assert shared.get(f"/?token={told[0]}").status_code == 403
    assert len(told) == 2


def test_a_made_up_cookie_lets_nobody_in(shared):
    for cookie in ("", "x", "a" * 5000, "\u00e9", "; ; ="):
        answer = shared.get("/page", headers={"cookie": f"{COOKIE}={cookie}".encode()})
        assert answer.status_code == 403


def test_a_visitor_opens_a_web_socket_only_from_our_own_page(shared, told):
    shared.get(f"/?token={told[0]}")
    with shared.websocket_connect(SOCKET, headers={"origin": HERE}) as socket:
        assert socket.receive_text() == "secret"
    for headers in ({"origin": "https://evil.example"}, {}, {"origin": "null"}):
        with pytest.raises(WebSocketDisconnect), shared.websocket_connect(SOCKET, headers=headers):
            pass


def test_another_host_name_is_refused(loopback):
    for host in ("evil.example", "evil.example:8420", "127.0.0.1:8421", "", "127.0.0.1:8420.evil.example"):
        assert loopback.get("/", headers={"host": host}).status_code == 421


def test_a_request_that_names_two_hosts_is_refused(loopback):
    for second in ("127.0.0.1:8420", "evil.example"):
        headers = [("host", second), ("host", "127.0.0.1:8420")]
        assert loopback.get("/", headers=headers).status_code == 400


def test_another_page_may_not_write(loopback):
    assert loopback.post("/", content=b"x").status_code == 403
    assert loopback.post("/", content=b"x", headers={"origin": "http://evil.example"}).status_code == 403
    assert loopback.post("/", content=b"x", headers={"origin": "null"}).status_code == 403
    assert loopback.get("/", headers={"origin": "http://evil.example"}).status_code == 403
    assert loopback.post("/", content=b"x", headers={"origin": "http://127.0.0.1:8420"}).text == "secret 1"


def test_a_body_over_the_limit_is_refused_whatever_length_it_tells(loopback):
    ours = {"origin": "http://127.0.0.1:8420"}
    assert loopback.post("/", content=b"x" * 1000, headers=ours).status_code == 200
    assert loopback.post("/", content=b"x" * 1001, headers=ours).status_code == 413
    parts = (b"x" * 500 for _ in range(4))
    assert loopback.post("/", content=parts, headers=ours).status_code == 413
    assert loopback.post("/", content=b"x", headers={**ours, "content-length": "many"}).status_code == 400


def test_every_answer_forbids_other_places(loopback):
    policy = loopback.get("/").headers["content-security-policy"]
    assert "default-src 'self'" in policy
    assert "http" not in policy
    assert "*" not in policy
    assert loopback.get("/").headers["x-content-type-options"] == "nosniff"


def test_the_way_on_after_a_token_never_leads_elsewhere(shared, told):
    answer = shared.get(f"//evil.example/?token={told[0]}")
    assert answer.headers.get("location", "/") in {"/", "/?"} or answer.status_code in {403, 421}
