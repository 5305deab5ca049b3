"""A real server and a real Chromium; what pages showed is kept as pictures in the ignored folder `artefacts`."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

CHROMIUM = shutil.which("chromium")
FLAGS = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)
ARTEFACTS = Path(__file__).resolve().parents[2] / "artefacts"
STARTS_WITHIN_S = 90.0


def pytest_collection_modifyitems(items):
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents and CHROMIUM is None:
            item.add_marker(pytest.mark.skip(reason="no chromium on this machine"))


@dataclass
class Server:
    """A server in a process of its own that can be killed and started again on the same record."""

    home: Path
    port: int
    process: subprocess.Popen | None = None
    told: Path | None = None

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        self.told = self.home / "told.txt"
        with self.told.open("a") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "steadyhead", "serve", "--port", str(self.port)],
                env={**os.environ, "STEADYHEAD_HOME": str(self.home)}, stdout=out, stderr=out, start_new_session=True,
            )  # fmt: skip
        end = time.monotonic() + STARTS_WITHIN_S
        while time.monotonic() < end:
            try:
                urllib.request.urlopen(self.origin, timeout=5).read()
                return
            except OSError:
                assert self.process.poll() is None, self.told.read_text()
                time.sleep(0.2)
        self.kill()
        raise TimeoutError(self.told.read_text())

    def kill(self) -> None:
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture(scope="module")
def server(tmp_path_factory) -> Iterator[Server]:
    made = Server(home=tmp_path_factory.mktemp("record"), port=free_port())
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="session")
def chromium() -> Iterator:
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with api.sync_playwright() as player:
        opened = player.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield opened
        opened.close()


def linked(page) -> None:
    """Wait until a page takes what is typed."""
    page.wait_for_selector("#main:not([inert])", state="attached")


@dataclass
class Visit:
    """A page with everything that it asked for and complained of."""

    page: object
    origin: str
    asked: list[str] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)

    def go(self, path: str) -> None:
        self.page.goto(self.origin + path)
        self.page.wait_for_selector("h1")
        linked(self.page)

    def picture(self, name: str) -> None:
        ARTEFACTS.mkdir(exist_ok=True)
        self.page.screenshot(path=ARTEFACTS / f"{name}.png", full_page=True)

    def outside(self) -> list[str]:
        host = self.origin.partition("://")[2]
        ours = (f"http://{host}/", f"ws://{host}/", "data:", "blob:")
        return [url for url in self.asked if not url.startswith(ours)]


def visit(browser, origin: str, *, width: int = 1280, scheme: str = "light", **more) -> Visit:
    page = browser.new_page(viewport={"width": width, "height": 844}, color_scheme=scheme, **more)
    page.set_default_timeout(60_000)
    made = Visit(page=page, origin=origin)
    page.on("request", lambda request: made.asked.append(request.url))
    page.on("websocket", lambda opened: made.asked.append(opened.url))
    page.on("console", lambda said: made.troubles.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: made.troubles.append(str(error)))
    return made


@pytest.fixture
def desk_wide(chromium, server) -> Iterator[Visit]:
    made = visit(chromium, server.origin)
    yield made
    made.page.close()
