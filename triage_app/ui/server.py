"""Starts the app: ``python -m triage_app.ui.server``; settings come from the environment."""

import logging
import sys
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import streamlit as st
from starlette.middleware import Middleware
from starlette.routing import Route
from streamlit import App, config

from rules import RulebookError
from triage_app.bootstrap import open_services, report_writer
from triage_app.domain.errors import TriageError
from triage_app.services import Services
from triage_app.services.people import new_code
from triage_app.settings import Settings
from triage_app.ui import text
from triage_app.ui.routes.account import AccountRoutes
from triage_app.ui.routes.guard import SecurityHeaders, SignedInOnly
from triage_app.ui.routes.icon import icon_route
from triage_app.ui.routes.lists import ListRoutes
from triage_app.ui.routes.lock import LockRoutes
from triage_app.ui.routes.outside import OutsideRoutes
from triage_app.ui.routes.pictures import PictureRoutes
from triage_app.ui.routes.plain_pages import PlainPages
from triage_app.ui.routes.reports import ReportRoutes
from triage_app.ui.routes.revisions import RevisionRoutes
from triage_app.ui.routes.rule_book import RuleBookRoutes
from triage_app.ui.routes.scale_cards import ScaleCardRoutes
from triage_app.ui.routes.set_up import SetUpRoutes
from triage_app.ui.routes.sign_in import SignInRoutes
from triage_app.ui.theme import THEME
from triage_app.ui.wiring import Wiring, install

_EVERYWHERE = ("0.0.0.0", "::", "")  # noqa: S104 - recognised here, never chosen


def main() -> int:
    """Serve until stopped; one sentence on the error stream and 1 when that cannot be done."""
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(name)s %(message)s")
    logging.getLogger("triage_app").setLevel(logging.INFO)
    try:
        settings = Settings.from_environment()
        code = settings.sign_in_code or new_code()
        services = open_services(replace(settings, sign_in_code=code))
        opens_something = settings.demo or services.sign_in.needs_set_up()
    except (TriageError, RulebookError) as error:
        sys.stderr.write(f"{error}\n")
        return 1
    install(Wiring(services=services, render_report=report_writer(settings, services.rulebook)))
    is_own_secret = bool(settings.sign_in_code) and not settings.demo
    shown_code = code if opens_something and not is_own_secret else None
    app = make_app(services, settings, on_start=lambda: _say_where(settings, shown_code))
    app.run(config=server_config(settings))
    return 0


def make_app(
    services: Services, settings: Settings, *, on_start: Callable[[], None] | None = None
) -> App:
    """Return the Streamlit app with our routes beside it and our guard in front of it."""

    @asynccontextmanager
    async def lifespan(_: App) -> AsyncIterator[None]:
        if on_start:
            on_start()
        yield
        services.close()

    started: Callable[[App], AbstractAsyncContextManager[None]] = lifespan
    return App(
        Path(str(files("triage_app.ui").joinpath("entry", "script.py"))),
        lifespan=started,
        on_script_error=_say_that_it_broke,
        routes=our_routes(services, settings),
        middleware=our_middleware(services, has_provider=settings.oidc),
    )


def our_routes(services: Services, settings: Settings) -> list[Route]:
    pages = PlainPages(
        secure_cookie=settings.secure_cookie, is_demo=settings.demo, has_provider=settings.oidc
    )
    return [
        *(OutsideRoutes(services, pages).routes() if settings.oidc else ()),
        *SignInRoutes(services, pages).routes(),
        *SetUpRoutes(services, pages).routes(),
        *LockRoutes(services).routes(),
        *AccountRoutes(services, pages).routes(),
        *PictureRoutes(services).routes(),
        *RevisionRoutes(services).routes(),
        *ReportRoutes(services).routes(),
        *ListRoutes(services).routes(),
        *RuleBookRoutes(services, settings).routes(),
        *ScaleCardRoutes(services).routes(),
        icon_route(),
    ]


def our_middleware(services: Services, *, has_provider: bool = False) -> list[Middleware]:
    """Return what every request goes through, Streamlit's own addresses included."""
    return [
        Middleware(SecurityHeaders),
        Middleware(SignedInOnly, services=services, has_provider=has_provider),
    ]


def server_config(settings: Settings) -> Mapping[str, object]:
    """Return Streamlit's options: ours, and everything off that calls home or watches files."""
    return {
        "server.address": settings.address,
        "server.port": settings.port,
        "server.headless": True,
        "server.enableXsrfProtection": True,
        "server.enableCORS": True,
        "server.fileWatcherType": "none",
        "server.maxUploadSize": 200,
        "browser.gatherUsageStats": False,
        "client.toolbarMode": "minimal",
        "client.showErrorDetails": "none",
        "client.showErrorLinks": False,
        "logger.hideWelcomeMessage": True,
        **{f"theme.{name}": value for name, value in THEME.items()},
    }


def _say_that_it_broke(_: Exception) -> bool:
    """Tell the person no more than they can use; Streamlit has logged the fault in full."""
    st.error(text.BROKEN_PAGE)
    return True


def _say_where(settings: Settings, code: str | None) -> None:
    """Print the one line that a person needs. The code is in the fragment, which no log sees."""
    host = "127.0.0.1" if settings.address in _EVERYWHERE else settings.address
    shown_host = f"[{host}]" if ":" in host else host
    address = f"http://{shown_host}:{config.get_option('server.port')}/sign-in"
    line = text.serving_at(f"{address}#code={code}" if code else address)
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
