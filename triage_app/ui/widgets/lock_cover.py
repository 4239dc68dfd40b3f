"""What covers a screen that was left alone, on every page of somebody who is signed in."""

from functools import cache
from importlib.resources import files

import streamlit as st
from streamlit.components.v2.types import ComponentRenderer

from triage_app.services.sign_in import Seat
from triage_app.ui import people_text as text
from triage_app.ui.wiring import form_token, services


def lock_cover(seat: Seat) -> None:
    """Watch the screen, and cover it at once where the session is locked already.

    Of no height. The server locks by itself, so a browser that never asks gains nothing.
    """
    settings = services().shop_settings.now()
    data = {
        "locked": seat.locked,
        "idle_ms": settings.idle_minutes * 60_000,
        "form_token": form_token(),
        "style": _asset("lock_cover.css"),
        "words": {
            "title": text.LOCKED_TITLE,
            "lead": text.locked_for(seat.account.name),
            "password": text.PASSWORD,
            "unlock": text.UNLOCK,
            "other": text.SOMEBODY_ELSE,
            "unreachable": text.UNREACHABLE,
        },
    }
    with st.container(key="ub-lock"):
        _component()(key="lock-cover", data=data, on_unlocked_change=_again, height="content")


def _again() -> None:
    """Run the page again, now that it may show something."""


@cache
def _component() -> ComponentRenderer:
    # The line break tells Streamlit that this is contents and not a file name.
    return st.components.v2.component("underbody_lock_cover", js=_asset("lock_cover.js") + "\n")


def _asset(name: str) -> str:
    return files("triage_app.ui").joinpath("assets", name).read_text(encoding="utf-8")
