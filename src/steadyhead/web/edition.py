"""Which text of its machine file a page was made from: once another one is kept, the page says so and does nothing."""

from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from nicegui import Client, ui
from nicegui.events import UploadEventArguments

from steadyhead.bench.record import Revision

if TYPE_CHECKING:
    from steadyhead.web.desk import Desk

LOOK_EVERY_S = 2.0
"""How often an open page looks whether another text of its machine file was kept, here or by the terminal."""
OLDER = (
    "The machine file was changed since this page was made. What stands below is as of the older file: "
    "nothing is led or kept from here until the page is loaded anew."
)
NOT_DONE = "That was not done, and nothing was kept. Load the page anew first."
_EDITIONS: WeakKeyDictionary[Client, "Edition"] = WeakKeyDictionary()


class Edition:
    """The text of the machine file that one open page was made from, and the place where the page says it is older."""

    def __init__(self, desk: "Desk", revision: Revision, first: str = "") -> None:
        """Stand the place; `first` is what a person has to do before anything else, where a motor may be live."""
        self._desk, self._revision, self._first = desk, revision, first
        self._told = False
        self._main = ui.query("#main")
        self._place = ui.element("div").classes("older-file")
        _EDITIONS[ui.context.client] = self
        ui.timer(LOOK_EVERY_S, self.is_old)

    def holds(self) -> bool:
        """Return whether the text is still the newest that is kept of its machine; draws nothing."""
        return self._desk.is_newest(self._revision)

    def is_old(self) -> bool:
        """Return whether another text is kept by now, and let the page say how it is."""
        old = not self.holds()
        if old is not self._told:
            self._told = old
            self._place.clear()
            if old:
                self._main.classes(add="of-older")
                self._say(OLDER)
            else:
                self._main.classes(remove="of-older")
        return old

    def refuse(self) -> None:
        """Say that what was asked for was not done."""
        self._place.clear()
        self._say(f"{OLDER} {NOT_DONE}")

    def _say(self, sentence: str) -> None:
        with self._place:
            with ui.element("p").props('role="alert"'):
                for words in filter(None, (self._first, sentence)):
                    ui.label(words)
            ui.button("Load the page anew", on_click=ui.navigate.reload).props("unelevated no-caps color=primary")


def edition_here() -> Edition | None:
    """Return the edition of the page that is being made or acted on; None on a page that is about no one machine."""
    return _EDITIONS.get(ui.context.client)


def unless_old(act: Callable[..., Any]) -> Callable[[], Any]:
    """Return an act of the page that is being made, done only while the page stands on the newest text."""
    edition = edition_here()

    def done() -> Any:
        if edition is None or not edition.is_old():
            return act()
        edition.refuse()
        return None

    return done


def brought_unless_old(
    brought: Callable[[UploadEventArguments], Awaitable[None]],
) -> Callable[[UploadEventArguments], Awaitable[None]]:
    """Return what takes a file that is brought, done only while the page stands on the newest text."""
    edition = edition_here()

    async def done(event: UploadEventArguments) -> None:
        if edition is None or not edition.is_old():
            await brought(event)
        else:
            edition.refuse()

    return done
