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
        self.name = name
        self._on_change = on_change
        self._shown = ui.html("", sanitize=False)
        self._shown.on("change", self._chosen, js_handler=_TELL)
        self.offer(options, chosen)

    def offer(self, options: Mapping[str, str], chosen: str = "") -> None:
        """Offer these, and choose one of them, or the first."""
        self.value = chosen or next(iter(options))
        lines = "".join(
            f'<option value="{escape(key)}"{" selected" if key == self.value else ""}>{escape(words)}</option>'
            for key, words in options.items()
        )
        self._shown.set_content(
            f'<label class="choice"><span>{escape(self.name)}</span><select>{lines}</select></label>'
        )

    def _chosen(self, event: GenericEventArguments) -> None:
        self.value = str(event.args)
        if self._on_change is not None:
            self._on_change()
