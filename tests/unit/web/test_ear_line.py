"""The line of the microphone: it says that it gets ready while the ear is made ready aside, and ends with the file."""

import time

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from steadyhead import job
from steadyhead.judge.live_ear import Told
from steadyhead.web import ear

SLOW_S = 0.3


class Silent:
    """An ear that hears nothing."""

    def push(self, block):
        return Told(frames=(), behind_s=0.0, blades=())


@pytest.fixture
def line(monkeypatch):
    """Open a line on a server whose ear has to be made ready first, slowly."""
    readied = []
    monkeypatch.setattr(ear, "ready_aside", lambda machine, rate_hz: (time.sleep(SLOW_S), readied.append(rate_hz)))
    monkeypatch.setattr(ear, "SIGN_EVERY_S", SLOW_S / 4)
    monkeypatch.setattr(ear, "LOOK_EVERY_S", 0.0)
    monkeypatch.setattr(ear, "LINES", ear.Lines())
    monkeypatch.setattr(job, "live_ear", lambda machine, rate_hz: Silent(), raising=False)
    core = FastAPI()
    ear.add_line(core)
    return TestClient(core), readied


def test_the_page_is_told_that_the_ear_gets_ready_and_only_once(line):
    client, readied = line
    name = ear.LINES.promise("a machine", lambda: True)
    with client.websocket_connect(f"/live/{name}?rate=48000") as socket:
        signs = [socket.receive_json()]
        while signs[-1] != ear.READY:
            signs.append(socket.receive_json())
        socket.send_bytes(bytes(64))
        assert socket.receive_json()["frames"] == []
    assert signs.count(ear.GETTING_READY) > 2
    with client.websocket_connect(f"/live/{name}?rate=48000") as socket:
        assert socket.receive_json() == ear.READY
    assert readied == [48000.0]


def test_the_line_ends_once_the_machine_file_is_another_one(line):
    client, _ = line
    holds = [True]
    name = ear.LINES.promise("a machine", lambda: holds[0])
    with client.websocket_connect(f"/live/{name}?rate=48000") as socket:
        while socket.receive_json() != ear.READY:
            pass
        holds[0] = False
        socket.send_bytes(bytes(64))
        socket.receive_json()
        with pytest.raises(WebSocketDisconnect) as ended:
            socket.receive_json()
    assert "The machine file was changed" in ended.value.reason


def test_a_line_that_nobody_was_promised_is_refused(line):
    client, readied = line
    nobodys = client.websocket_connect("/live/nobodys?rate=48000")
    with nobodys as socket, pytest.raises(WebSocketDisconnect) as ended:
        socket.receive_json()
    assert ended.value.reason == "This page is old: load it again."
    assert readied == []
