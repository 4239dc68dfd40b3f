"""The pages in the order of the work, who is signed in, and the ways in and out.

All of it is in view at every width: the row wraps, and nothing hides behind a menu.
"""

from html import escape
from urllib.parse import urlencode

import streamlit as st

from triage_app.domain.permissions import Action, may
from triage_app.domain.signed import Operator
from triage_app.ui import navigation, people_text, state, text
from triage_app.ui.navigation import Place
from triage_app.ui.wiring import form_token

# Pages beside the work are offered to those who may do something there; the services ask again.
_FOR_FEW = {Place.PEOPLE: Action.MANAGE_PEOPLE, Place.SETTINGS: Action.CHANGE_SETTINGS}


def show_way_in() -> None:
    """Say that nobody is signed in; a plain link, so that the browser gets a new cookie."""
    st.html(
        f'<div class="ub-way-in"><h1>{escape(text.PROGRAM)}</h1>'
        f"<p>{escape(text.SIGN_IN_AGAIN)}</p>"
        f'<a class="ub-button" href="/sign-in" target="_self">{escape(text.SIGN_IN)}</a></div>'
    )


def show_locked(name: str) -> None:
    """Say that the screen is locked, below the cover and for browsers in which it does not run."""
    st.html(
        f'<div class="ub-way-in"><h1>{escape(people_text.LOCKED_TITLE)}</h1>'
        f"<p>{escape(people_text.locked_for(name))}</p>"
        f'<a class="ub-button" href="/sign-in" target="_self">{escape(text.SIGN_IN)}</a></div>'
    )


def show_way(chosen: st.Page, operator: Operator) -> None:
    """Draw one link per page, then who is signed in with the ways to change that."""
    with st.container(key="ub-way", horizontal=True, gap="xsmall", vertical_alignment="center"):
        for place in Place:
            asked = _FOR_FEW.get(place)
            if asked is not None and not may(operator.roles, asked):
                continue
            here = "-here" if chosen.url_path == navigation.page(place).url_path else ""
            with st.container(key=f"ub-way-{place}{here}", width="content"):
                st.page_link(navigation.page(place))
        st.html(_way_out(chosen, operator), width="content")
    beside_cases = {navigation.page(place).url_path for place in _FOR_FEW}
    if not may(operator.roles, Action.MARK) and chosen.url_path not in beside_cases:
        st.html(f'<p class="ub-read-only">{_read_only(operator)}</p>')


def _way_out(chosen: st.Page, operator: Operator) -> str:
    address = urlencode(state.address())
    here = f"/{chosen.url_path}" + (f"?{address}" if address else "")
    switch = escape(f"/sign-in?{urlencode({'switch': '1', 'next': here})}")
    return (
        '<form method="post" action="/sign-out" class="ub-sign-out">'
        f'<input type="hidden" name="form_token" value="{escape(form_token())}">'
        f'<a class="ub-me" href="/account" target="_self">{escape(operator.name)}</a>'
        f'<a class="ub-switch" href="{switch}" target="_self">{escape(people_text.SWITCH)}</a>'
        f'<button type="submit">{escape(text.SIGN_OUT)}</button></form>'
    )


def _read_only(operator: Operator) -> str:
    title, rest = people_text.read_only(operator)
    return f"<b>{escape(title)}</b> {escape(rest)}"
