"""Who may speak to the server: the right host, the right origin, and, when shared, a token that was used once.

Everything passes here, web sockets too, before any page is asked. What is refused gets one plain sentence.
"""

from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, urlencode

from starlette.requests import ClientDisconnect

from steadyhead.web.tokens import Tokens

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

COOKIE = "steadyhead_visitor"
TOKEN = "token"
LARGEST_BODY_BYTES = 536_870_912
"""Largest upload that is taken; a longer log belongs on the command line."""
_ONCE = (b"host", b"origin", b"content-length")
"""Headers that a request may carry once (RFC 9112, 3.2, for the host)."""
_READS = {"GET", "HEAD", "OPTIONS"}
_HEADERS = {
    "content-security-policy": "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self' data:; "
    "connect-src 'self'; worker-src 'self' blob:; object-src 'none'; base-uri 'self'; form-action 'self'; "
    "frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "microphone=(self), camera=(), geolocation=()",
}


class Refused(Exception):
    """A request that is not answered; its text is the sentence that the visitor sees."""

    def __init__(self, status: int, sentence: str) -> None:
        super().__init__(sentence)
        self.status = status
        self.sentence = sentence


class Guard:
    """Stands before the whole application.

    `origins` are the addresses by which the server may be called, `https://192.168.1.20:8443` and the like.
    With `tokens` nothing is answered to a visitor who has not brought one; without them the server must listen on
    loopback only.
    """

    def __init__(
        self,
        app: App,
        *,
        origins: frozenset[str],
        tokens: Tokens | None = None,
        largest_bytes: int = LARGEST_BODY_BYTES,
    ) -> None:
        self._app = app
        self._origins = origins
        self._hosts = frozenset(origin.partition("://")[2].lower() for origin in origins)
        self._tokens = tokens
        self._largest_bytes = largest_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request through, or answer it with a refusal."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
        try:
            visitor = self._admitted(scope, headers)
            if visitor is not None:
                await _welcome(scope, send, visitor, secure=scope.get("scheme") in {"https", "wss"})
                return
            await self._measured(scope, receive, send)
        except Refused as refused:
            await _refuse(scope, send, refused)

    async def _measured(self, scope: Scope, receive: Receive, send: Send) -> None:
        measured = _Measured(receive, send, self._largest_bytes)
        try:
            await self._app(scope, measured.receive, measured.send)
        except ClientDisconnect:
            if not measured.too_large:
                raise
        if measured.unanswered():
            raise Refused(413, _too_large(self._largest_bytes))

    def _admitted(self, scope: Scope, headers: dict[str, str]) -> str | None:
        """Return the cookie of a visitor who just brought a token, None for one who may pass; raise for the rest."""
        names = [name.lower() for name, _ in scope["headers"]]
        if any(names.count(once) > 1 for once in _ONCE):
            raise Refused(400, "That request says twice what may be said once.")
        if headers.get("host", "").lower() not in self._hosts:
            raise Refused(421, "This server does not answer under that name.")
        origin = headers.get("origin")
        if origin is not None and origin.lower() not in self._origins:
            raise Refused(403, "That page comes from somewhere else and may not speak to this server.")
        if origin is None and (scope["type"] == "websocket" or scope.get("method") not in _READS):
            raise Refused(403, "A request that changes something must say which page it comes from.")
        _body_fits(headers, self._largest_bytes)
        if self._tokens is None:
            return None
        if self._tokens.knows(_cookie(headers.get("cookie", ""))):
            return None
        brought = parse_qs(scope.get("query_string", b"").decode("latin-1")).get(TOKEN, [""])[0]
        if scope["type"] == "http" and scope.get("method") == "GET" and brought:
            visitor = self._tokens.spend(brought)
            if visitor is not None:
                return visitor
        raise Refused(
            403, "Nothing is shown without the token. Scan the code that the terminal shows; each works once."
        )


def _body_fits(headers: dict[str, str], largest_bytes: int) -> None:
    length = headers.get("content-length", "0")
    if not length.isdigit():
        raise Refused(400, "The length of what was sent is not a number.")
    if int(length) > largest_bytes:
        raise Refused(413, _too_large(largest_bytes))


def _too_large(largest_bytes: int) -> str:
    return f"That is too large: at most {largest_bytes} bytes are taken here."


def _cookie(text: str) -> str:
    try:
        found = SimpleCookie(text).get(COOKIE)
    except CookieError:
        return ""
    return found.value if found else ""


class _Measured:
    """One exchange whose body is counted as it arrives: a length told wrong does not get round the limit."""

    def __init__(self, receive: Receive, send: Send, largest_bytes: int) -> None:
        self._receive, self._send = receive, send
        self._largest_bytes = largest_bytes
        self._seen = 0
        self._answered = False
        self.too_large = False

    async def receive(self) -> Message:
        """Give the application the next message; beyond the limit, tell it that the visitor went away."""
        message = await self._receive()
        if message["type"] == "http.request":
            self._seen += len(message.get("body", b""))
        if self._seen > self._largest_bytes:
            self.too_large = True
            return {"type": "http.disconnect"}
        return message

    async def send(self, message: Message) -> None:
        """Pass on what the application answers, with our headers; nothing once the body was too large."""
        if self.too_large and not self._answered:
            return
        if message["type"] == "http.response.start":
            self._answered = True
            told = {name.lower() for name, _ in message.get("headers", [])}
            extra = [(n.encode(), v.encode()) for n, v in _HEADERS.items() if n.encode() not in told]
            message["headers"] = [*message.get("headers", []), *extra]
        await self._send(message)

    def unanswered(self) -> bool:
        """Return whether the body was too large and the visitor has not been told."""
        return self.too_large and not self._answered


async def _welcome(scope: Scope, send: Send, visitor: str, *, secure: bool) -> None:
    """Answer the first visit: keep the visitor's cookie, and go on to the page without the token in its address."""
    query = parse_qs(scope.get("query_string", b"").decode("latin-1"))
    query.pop(TOKEN, None)
    rest = urlencode(query, doseq=True)
    path = scope["path"] if scope["path"].startswith("/") and not scope["path"].startswith("//") else "/"
    flags = f"; Path=/; HttpOnly; SameSite=Lax{'; Secure' if secure else ''}"
    headers = [
        (b"location", (f"{path}?{rest}" if rest else path).encode("latin-1", "ignore")),
        (b"set-cookie", f"{COOKIE}={visitor}{flags}".encode()),
        (b"cache-control", b"no-store"),
        (b"content-length", b"0"),
        *((name.encode(), value.encode()) for name, value in _HEADERS.items()),
    ]
    await send({"type": "http.response.start", "status": 303, "headers": headers})
    await send({"type": "http.response.body", "body": b""})


async def _refuse(scope: Scope, send: Send, refused: Refused) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008, "reason": refused.sentence})
        return
    body = refused.sentence.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store"),
        (b"connection", b"close"),
        *((name.encode(), value.encode()) for name, value in _HEADERS.items()),
    ]
    await send({"type": "http.response.start", "status": refused.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
