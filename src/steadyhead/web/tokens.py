"""Tokens that let one phone in once, and the visitors that they let in."""

import hmac
import secrets
import threading
import time
from collections.abc import Callable

_BYTES = 24
LIVES_S = 900.0
"""How long a token that nobody used stays good."""


class Tokens:
    """The one token that is good now, and the visitors let in so far; safe to ask from several threads.

    A token is good for one visit and for LIVES_S; then a new one takes its place, and `on_new` is told of it.
    """

    def __init__(self, on_new: Callable[[str], None], now_s: Callable[[], float] = time.monotonic) -> None:
        self._on_new = on_new
        self._now_s = now_s
        self._lock = threading.Lock()
        self._visitors: set[str] = set()
        self._token = ""
        self._good_until_s = 0.0

    def renew(self) -> str:
        """Make a new token, void the old one, tell it, and return it."""
        with self._lock:
            self._token = secrets.token_urlsafe(_BYTES)
            self._good_until_s = sum((self._now_s(), LIVES_S))
            token = self._token
        self._on_new(token)
        return token

    def spend(self, token: str) -> str | None:
        """Return a new visitor's secret for a good token, which is then void; None for any other."""
        with self._lock:
            good = bool(self._token) and hmac.compare_digest(token.encode(), self._token.encode())
            fresh = self._now_s() <= self._good_until_s
            if good:
                self._token = ""
            visitor = secrets.token_urlsafe(_BYTES) if good and fresh else None
            if visitor is not None:
                self._visitors.add(visitor)
        if good:
            self.renew()
        return visitor

    def knows(self, visitor: str) -> bool:
        """Return whether this visitor was let in before."""
        brought = visitor.encode()
        with self._lock:
            return any([hmac.compare_digest(brought, known.encode()) for known in self._visitors])
