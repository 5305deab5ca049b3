"""The microphone: the line from a page to the tracker, and the panel that shows what is heard."""

import secrets
from collections import OrderedDict
from collections.abc import Callable
from functools import partial

from fastapi import FastAPI, WebSocket, WebSocketDisconnect
from nicegui import run, ui

from steadyhead import job
from steadyhead.judge.live_ear import LiveEar, SpeedTaken
from steadyhead.machine.description import Machine
from steadyhead.web.shown import other, primary, show_refusal
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.plain import plain

MOST_LINES = 8
BLADES_HEARD = (
    "Blades are heard. Throttle hold on, disconnect the pack, take all blades off: "
    "every bench step with a live motor is done without them. Nothing of this is taken."
)
_REFUSED = 1008
_BEFORE = "Press Listen: the head speed of the last 20 s is drawn here."


class Lines:
    """The lines that pages may open, each by a name that only its page knows."""

    def __init__(self) -> None:
        self._machines: OrderedDict[str, Machine] = OrderedDict()
        self._ears: dict[str, LiveEar] = {}

    def promise(self, machine: Machine) -> str:
        """Return the name of a new line for a machine; the oldest is forgotten."""
        name = secrets.token_urlsafe(16)
        self._machines[name] = machine
        while len(self._machines) > MOST_LINES:
            oldest, _ = self._machines.popitem(last=False)
            self._ears.pop(oldest, None)
        return name

    def opened(self, name: str, rate_hz: float) -> LiveEar | None:
        """Return the ear of a line that is opened now, or None when nobody was promised it."""
        machine = self._machines.get(name)
        if machine is None:
            return None
        self._ears[name] = job.live_ear(machine, rate_hz)
        return self._ears[name]

    def ear(self, name: str) -> LiveEar | None:
        """Return the ear of a line that is or was open."""
        return self._ears.get(name)


LINES = Lines()


def add_line(core: FastAPI) -> None:
    """Add the way that sound comes in by."""

    @core.websocket("/live/{name}")
    async def live(socket: WebSocket, name: str, rate: float) -> None:
        await socket.accept()
        try:
            ear = LINES.opened(name, rate)
            if ear is None:
                await socket.close(_REFUSED, "This page is old: load it again.")
                return
            while True:
                block = await socket.receive_bytes()
                told = await run.io_bound(ear.push, block)
                await socket.send_json(plain(told))
        except SteadyheadError as error:
            await socket.close(_REFUSED, str(error)[:120])
        except WebSocketDisconnect:
            return


def show_ear(machine: Machine, take: Callable[[SpeedTaken], None] | None = None) -> None:
    """Show the panel that listens; with `take`, for the bench, what was held can be taken as the answer.

    On the bench blades are off: the panel says so at once where they are heard.
    """
    name = LINES.promise(machine)
    with ui.element("section").classes("card ear").props(f'aria-label="Microphone" data-socket="/live/{name}"'):
        with ui.element("h2"):
            ui.label("Live head speed")
        ui.label(
            "Microphone still and near the machine, out of the rotor's reach. "
            "The sound goes to steadyhead and nowhere else."
        ).classes("soft")
        if take is not None:
            ui.html(f'<p class="ear-blades refused" role="alert" hidden>{BLADES_HEARD}</p>', sanitize=False)
        with ui.element("div").classes("row-of"):
            ui.html('<output class="ear-speed big" aria-live="off">not listening</output>', sanitize=False)
            ui.html('<output class="ear-sure soft" aria-live="off"></output>', sanitize=False)
        ui.html(
            '<canvas class="ear-trace" role="img" aria-label="Head speed of the last 20 s"></canvas>', sanitize=False
        )
        ui.html(f'<p class="ear-said soft" role="status">{_BEFORE}</p>', sanitize=False)
        with ui.element("div").classes("row-of"):
            ui.html('<button type="button" class="ear-button">Listen</button>', sanitize=False)
            if take is not None:
                other("Take the speed that is held", lambda: _taken(name, take, held))
        held = ui.element("div")


def _taken(name: str, take: Callable[[SpeedTaken], None], place: ui.element) -> None:
    """Show what was held and ask whether to keep it; until then it is nowhere but here."""
    place.clear()
    ear = LINES.ear(name)
    with place:
        try:
            if ear is None:
                raise SteadyheadError("Nothing was listened to yet: press Listen first.")
            held = ear.taken()
        except SteadyheadError as error:
            show_refusal(str(error))
            return
        if held.blades:
            take(held)  # the bench refuses it, says why, and pauses the run
            return
        ui.label(
            f"Held: {held.head_speed_rpm:.1f} rpm, sure to ± {held.spread_rpm:.1f}. "
            f"With it the last {held.sound_s:.0f} s of sound are kept."
        ).classes("told").props('role="status"')
        with ui.element("div").classes("row-of"):
            primary("Keep it", partial(take, held))
            other("Throw it away", place.clear)
