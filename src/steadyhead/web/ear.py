"""The microphone: the line from a page to the tracker, and the panel that shows what is heard."""

import asyncio
import secrets
from collections import OrderedDict
from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from fastapi import FastAPI, WebSocket, WebSocketDisconnect
from nicegui import run, ui

from steadyhead import job
from steadyhead.judge.live_ear import LiveEar, SpeedTaken
from steadyhead.machine.description import Machine
from steadyhead.web.edition import LOOK_EVERY_S, edition_here
from steadyhead.web.readying import ready_aside
from steadyhead.web.shown import other, primary, show_refusal
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.plain import plain

MOST_LINES = 8
BLADES_HEARD = (
    "Blades are heard. Throttle hold on, disconnect the pack, take all blades off: "
    "every bench step with a live motor is done without them. Nothing of this is taken."
)
_REFUSED = 1008
OLDER_FILE = "The machine file was changed: what is heard would be told by the older one. Load the page anew."
GETTING_READY, READY = {"ready": False}, {"ready": True}
SIGN_EVERY_S = 1.0
_BEFORE = "Press Listen: the head speed of the last 20 s is drawn here."


class _Promise(NamedTuple):
    """What a line was promised for: a machine, whether its file still holds, and the bench run; none elsewhere."""

    machine: Machine
    holds: Callable[[], bool]
    run: str


class Lines:
    """The lines that pages may open, each by a name that only its page knows."""

    def __init__(self) -> None:
        self._promised: OrderedDict[str, _Promise] = OrderedDict()
        self._ears: dict[str, LiveEar] = {}
        self.is_ready = False
        """Whether an ear was got ready since the server began: the kernels are compiled."""

    def promise(self, machine: Machine, holds: Callable[[], bool], run: str = "") -> str:
        """Return the name of a new line for a machine; the oldest is forgotten.

        `holds`: whether the machine file is still the one that the line was promised for. `run`: the bench run that
        it is opened at.
        """
        name = secrets.token_urlsafe(16)
        self._promised[name] = _Promise(machine, holds, run)
        while len(self._promised) > MOST_LINES:
            oldest, _ = self._promised.popitem(last=False)
            self._ears.pop(oldest, None)
        return name

    def opened(self, name: str, rate_hz: float) -> LiveEar | None:
        """Return the ear of a line that is opened now, or None when nobody was promised it."""
        promised = self._promised.get(name)
        if promised is None:
            return None
        self._ears[name] = job.live_ear(promised.machine, rate_hz)
        return self._ears[name]

    def machine(self, name: str) -> Machine | None:
        """Return the machine of a line, or None when nobody was promised it."""
        promised = self._promised.get(name)
        return promised.machine if promised else None

    def holds(self, name: str) -> bool:
        """Return whether the machine file is still the one that a line was promised for."""
        promised = self._promised.get(name)
        return promised is not None and promised.holds()

    def ear(self, name: str) -> LiveEar | None:
        """Return the ear of a line that is or was open."""
        return self._ears.get(name)

    def blades_at(self, run: str) -> tuple[str, ...]:
        """Return which blades the microphones at a bench run heard last, in every window."""
        ears = [self._ears.get(name) for name, promised in self._promised.items() if promised.run == run]
        return tuple(dict.fromkeys(blade for ear in ears if ear is not None for blade in ear.blades()))

    def forget(self, run: str) -> None:
        """Forget what was heard at a bench run: safety is confirmed anew."""
        for name, promised in self._promised.items():
            if promised.run == run:
                self._ears.pop(name, None)


LINES = Lines()


def add_line(core: FastAPI) -> None:
    """Add the way that sound comes in by."""

    @core.websocket("/live/{name}")
    async def live(socket: WebSocket, name: str, rate: float) -> None:
        await socket.accept()
        try:
            machine = LINES.machine(name)
            if machine is None:
                await socket.close(_REFUSED, "This page is old: load it again.")
                return
            if not LINES.is_ready:
                await _ready(socket, machine, rate)
                LINES.is_ready = True
            ear = await run.io_bound(LINES.opened, name, rate)
            await socket.send_json(READY)
            await _listen(socket, ear, name)
        except SteadyheadError as error:
            await socket.close(_REFUSED, str(error)[:120])
        except WebSocketDisconnect:
            return


async def _ready(socket: WebSocket, machine: Machine, rate_hz: float) -> None:
    """Get the ear ready aside, and say meanwhile that it is: the page sends no sound before that."""
    readied = asyncio.create_task(asyncio.to_thread(ready_aside, machine, rate_hz))
    while not readied.done():
        await socket.send_json(GETTING_READY)
        await asyncio.wait((readied,), timeout=SIGN_EVERY_S)
    readied.result()


async def _listen(socket: WebSocket, ear: LiveEar | None, name: str) -> None:
    """Hear block after block, until the page goes or the machine file is another one."""
    due = asyncio.Event()
    due.set()
    while ear is not None:
        block = await socket.receive_bytes()
        told = await run.io_bound(ear.push, block)
        await socket.send_json(plain(told))
        if due.is_set():
            due.clear()
            asyncio.get_running_loop().call_later(LOOK_EVERY_S, due.set)
            if not await run.io_bound(LINES.holds, name):
                await socket.close(_REFUSED, OLDER_FILE)
                return


def show_ear(machine: Machine, take: Callable[[SpeedTaken], None] | None = None, run: str = "") -> None:
    """Show the panel that listens; with `take`, at a bench run, what was held can be taken as the answer.

    On the bench blades are off: the panel says so at once where they are heard.
    """
    edition = edition_here()
    name = LINES.promise(machine, edition.holds if edition else lambda: True, run)
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
