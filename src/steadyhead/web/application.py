"""The application: every page on one desk, behind the guard."""

from typing import TYPE_CHECKING

from fastapi import FastAPI
from starlette.staticfiles import StaticFiles

from steadyhead.web.frame import STATIC
from steadyhead.web.guard import App, Guard
from steadyhead.web.tokens import Tokens

if TYPE_CHECKING:
    from steadyhead.web.desk import Desk
    from steadyhead.web.serve import Address, Tell


def application(desk: "Desk", where: "Address", tell: "Tell") -> App:
    """Return the application for one address; shared, it tells a token whenever a new one is good."""
    from nicegui import ui

    from steadyhead.web import pages

    core = FastAPI(openapi_url=None, docs_url=None, redoc_url=None)
    core.mount("/static", StaticFiles(directory=STATIC))
    pages.add_pages(desk, core)
    ui.run_with(core, title="steadyhead", tailwind=False, show_welcome_message=False, reconnect_timeout=20.0)
    tokens = None
    origins = {where.origin}
    if desk.shared:
        tokens = Tokens(lambda token: _tell_token(f"{where.origin}/?token={token}", tell))
        tokens.renew()
    else:
        origins.add(f"{where.scheme}://localhost:{where.port}")
        tell(f"Open {where.origin} in a browser on this machine. Stop with Ctrl-C.")
    return Guard(core, origins=frozenset(origins), tokens=tokens)


def _tell_token(address: str, tell: "Tell") -> None:
    """Tell the address with its token, as a code to scan and in letters."""
    import io

    import segno

    drawn = io.StringIO()
    segno.make(address, micro=False).terminal(out=drawn, compact=True)
    tell(drawn.getvalue())
    tell(f"Scan it with the phone, or type: {address}")
    tell("It lets in one phone, once, within 15 minutes; then a new one is shown here. Stop with Ctrl-C.")
