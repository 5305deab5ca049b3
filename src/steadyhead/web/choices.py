"""A list to choose from: the browser's own, so that a thumb, a key and a screen reader all work it."""

from collections.abc import Callable, Mapping
from html import escape

from nicegui import ui
from nicegui.events import GenericEventArguments

_TELL = "(event) => emit(event.target.value)"


class Choice:
    """One list on a page, and what is chosen in it."""

    def __init__(
        self, name: str, options: Mapping[str, str], *, chosen: str = "", on_change: Callable[[], None] | None = None
    ) -> None:
        self.value = chosen or next(iter(options))
        self._on_change = on_change
        lines = "".join(
            f'<option value="{escape(key)}"{" selected" if key == self.value else ""}>{escape(words)}</option>'
            for key, words in options.items()
        )
        shown = ui.html(
            f'<label class="choice"><span>{escape(name)}</span><select>{lines}</select></label>', sanitize=False
        )
        shown.on("change", self._chosen, js_handler=_TELL)

    def _chosen(self, event: GenericEventArguments) -> None:
        self.value = str(event.args)
        if self._on_change is not None:
            self._on_change()
