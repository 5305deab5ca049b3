"""Bringing a file: one button that a key and a screen reader work too; a file may also be dropped on it."""

from collections.abc import Awaitable, Callable, Mapping
from html import escape

from nicegui import ui
from nicegui.events import GenericEventArguments, UploadEventArguments

from steadyhead.web.edition import brought_unless_old
from steadyhead.web.guard import LARGEST_BODY_BYTES
from steadyhead.web.shown import show_refusal

TOO_LARGE = "That file is too large to be brought here; use the command line."
_HEAD = """
<div class="bring">
  <button type="button" class="bring-button" :disabled="props.isUploading" @click="props.pickFiles">{label}</button>
  <span role="status">{{{{ props.isUploading ? props.uploadProgressLabel : "or drop it here" }}}}</span>
  <div style="display: none"><q-uploader-add-trigger></q-uploader-add-trigger></div>
</div>
"""
_TELL_REJECTED = """(entries) => emit(entries.map(
  (entry) => ({name: entry.file.name, why: entry.failedPropValidation})))"""


def _why(rejected: Mapping[str, str], accept: str) -> str:
    """Say why a file cannot be brought."""
    if rejected["why"] == "accept":
        return f"{rejected['name']}: read a file of another type; right would be {accept.replace(',', ', ')}"
    if rejected["why"] == "duplicate":
        return f"{rejected['name']}: this file is being brought just now; wait until it is here."
    return TOO_LARGE


def bring(
    label: str,
    brought: Callable[[UploadEventArguments], Awaitable[None]],
    *,
    accept: str = "",
    largest_bytes: int = LARGEST_BODY_BYTES,
    several: bool = False,
) -> ui.upload:
    """Show the button that brings a file, or several; `brought` is given each once it is here.

    `accept`: endings that may be brought, such as `.toml,.txt`; all when empty.
    """

    shown = ui.upload(
        auto_upload=True, max_file_size=largest_bytes, multiple=several, on_upload=brought_unless_old(brought)
    )
    refused = ui.element("div")

    def rejected(event: GenericEventArguments) -> None:
        refused.clear()
        with refused:
            for one in event.args:
                show_refusal(_why(one, accept))

    shown.on("rejected", rejected, js_handler=_TELL_REJECTED)
    shown.on("finish", lambda _: shown.reset(), args=[])
    shown.on("added", lambda _: refused.clear(), args=[])
    shown.add_slot("header", _HEAD.format(label=escape(label)))
    shown.add_slot("list", "<span></span>")
    return shown.props(f'accept="{accept}"') if accept else shown
