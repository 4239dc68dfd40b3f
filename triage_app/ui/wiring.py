"""The one set of services that routes and pages share, and who is asking.

The server installs it once per process; tests install their own through the same door.
"""

from collections.abc import Callable
from dataclasses import dataclass

import streamlit as st

from rules import Rulebook
from triage_app.domain.errors import NotAllowedError, StorageError
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.reporting import Render
from triage_app.services.sign_in import Seat
from triage_app.ui import state

SESSION_COOKIE = "underbody_session"
FORM_COOKIE = "underbody_form"
PEOPLE_COOKIE = "underbody_people"


def token_from_cookie() -> str | None:
    """Return the session token that the browser sent when this page connected."""
    return st.context.cookies.get(SESSION_COOKIE)


def form_token() -> str:
    """Return the token that this browser's forms carry, or nothing before it has one."""
    return st.context.cookies.get(FORM_COOKIE) or ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """``token`` tells which session a page run belongs to."""

    services: Services
    render_report: Render
    token: Callable[[], str | None] = token_from_cookie


_installed: list[Wiring] = []


def install(wiring: Wiring) -> None:
    """Make ``wiring`` the one that this process uses from now on."""
    _installed[:] = [wiring]


def uninstall() -> None:
    """Forget what was installed; pages then say that they cannot run."""
    _installed.clear()


def wiring() -> Wiring:
    """Return what the server installed; StorageError when the pages were started without it."""
    if not _installed:
        raise StorageError("Start the program with 'underbody serve'; this page alone cannot run.")
    return _installed[0]


def services() -> Services:
    return wiring().services


def rulebook() -> Rulebook:
    return wiring().services.rulebook


def seat() -> Seat | None:
    """Return whose session this page belongs to, locked or not; asked anew at each run."""
    return wiring().services.sign_in.seat(wiring().token())


def who() -> Operator | None:
    """Return who is signed in on this page now, or None. Asked anew at each run and callback."""
    return wiring().services.sign_in.who(wiring().token())


def operator() -> Operator:
    """Return who is signed in on this page; NotAllowedError if nobody is any more."""
    found = who()
    if found is None:
        raise NotAllowedError("You are not signed in any more. Sign in again; nothing is lost.")
    seated = seat()
    if seated is None or not state.belongs_to(seated.account.id):
        # A callback runs before the page does, with what the person before had entered.
        raise NotAllowedError(
            "Somebody else has signed in on this screen meanwhile. Look again before you save."
        )
    return found
