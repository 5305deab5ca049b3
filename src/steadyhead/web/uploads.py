"""Bringing a file: one button that a key and a screen reader work too; a file may also be dropped on it."""

from collections.abc import Awaitable, Callable
from html import escape

from nicegui import ui
from nicegui.events import UploadEventArguments

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


def bring(
    label: str,
    brought: Callable[[UploadEventArguments], Awaitable[None]],
    *,
    accept: str = "",
    largest_bytes: int = LARGEST_BODY_BYTES,
) -> ui.upload:
    """Show the button that brings one file; `brought` is given it once it is here."""

    def rejected() -> None:
        refused.clear()
        with refused:
            show_refusal(TOO_LARGE)

    shown = ui.upload(auto_upload=True, max_file_size=largest_bytes, on_upload=brought, on_rejected=rejected)
    shown.add_slot("header", _HEAD.format(label=escape(label)))
    shown.add_slot("list", "<span></span>")
    refused = ui.element("div")
    return shown.props(f'accept="{accept}"') if accept else shown
