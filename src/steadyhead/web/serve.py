"""The server: loopback for this machine, or, shared, one address of the field's network with a token."""

import socket
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from steadyhead.words.errors import InputError

LOOPBACK = "127.0.0.1"
PORT = 8420
Tell = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Address:
    """Where the server listens."""

    host: str
    port: int
    scheme: str

    @property
    def origin(self) -> str:
        """The address as a browser says it."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{self.scheme}://{host}:{self.port}"


def serve(record_file: Path | None, *, port: int = PORT, share: bool = False, tell: Tell) -> None:
    """Serve the pages until stopped by hand.

    `tell` is given each line for the terminal. Raises: InputError when the port is taken or no network is there.
    """
    import uvicorn

    from steadyhead.bench.record import open_record
    from steadyhead.web.application import application
    from steadyhead.web.desk import Desk
    from steadyhead.web.work import Workshop

    where = Address(host=field_address() if share else LOOPBACK, port=port, scheme="https" if share else "http")
    with listening(where) as listener, tempfile.TemporaryDirectory(prefix="steadyhead-") as temporary:
        desk = Desk(open_record(record_file), Workshop(), Path(temporary), shared=share)
        key, certificate = _secured(desk.record.path.parent, where, tell) if share else (None, None)
        config = uvicorn.Config(
            application(desk, where, tell),
            log_level="error",
            access_log=False,
            server_header=False,
            proxy_headers=False,
            ws_max_size=1_048_576,
            timeout_graceful_shutdown=3,
            ssl_keyfile=key,
            ssl_certfile=certificate,
        )
        try:
            uvicorn.Server(config).run(sockets=[listener])
        finally:
            desk.close()


def listening(where: Address) -> socket.socket:
    """Return a socket that listens there, and nowhere else.

    Raises: InputError when the port is taken.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((where.host, where.port))
        listener.listen(64)
    except OSError as error:
        listener.close()
        raise InputError(
            "--port", read=f"{where.port}, which cannot be listened on ({error.strerror})", right="a port that is free"
        ) from error
    return listener


def field_address() -> str:
    """Return this machine's address in the network that it stands in; nothing is sent to find it.

    Raises: InputError when it stands in no network.
    """
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(("192.0.2.1", 9))
        return str(probe.getsockname()[0])
    except OSError as error:
        raise InputError("--share", read="no network", right="this machine in the field's Wi-Fi") from error
    finally:
        probe.close()


def _secured(folder: Path, where: Address, tell: Tell) -> tuple[str, str]:
    from steadyhead.web.certificate import certificate_for

    key, certificate, fingerprint = certificate_for(folder, where.host)
    tell("The phone will warn that nobody vouches for this certificate: it was made here, just now.")
    tell(f"Compare its SHA-256 before you go on: {fingerprint}")
    return str(key), str(certificate)
