"""The pages in the order of the work, who is signed in, and the ways in and out.

All of it is in view at every width: the row wraps, and nothing hides behind a menu.
"""

from html import escape

import streamlit as st

from triage_app.domain.signed import Operator
from triage_app.ui import navigation, text
from triage_app.ui.navigation import Place
from triage_app.ui.wiring import form_token


def show_way_in() -> None:
    """Say that nobody is signed in; a plain link, so that the browser gets a new cookie."""
    st.html(
        f'<div class="ub-way-in"><h1>{escape(text.PROGRAM)}</h1>'
        f"<p>{escape(text.SIGN_IN_AGAIN)}</p>"
        f'<a class="ub-button" href="/sign-in" target="_self">{escape(text.SIGN_IN)}</a></div>'
    )


def show_way(chosen: st.Page, operator: Operator) -> None:
    """Draw one link per page, then who is signed in with the way out."""
    with st.container(key="ub-way", horizontal=True, gap="xsmall", vertical_alignment="center"):
        for place in Place:
            here = "-here" if chosen.url_path == navigation.page(place).url_path else ""
            with st.container(key=f"ub-way-{place}{here}", width="content"):
                st.page_link(navigation.page(place))
        st.html(_way_out(operator), width="content")


def _way_out(operator: Operator) -> str:
    return (
        '<form method="post" action="/sign-out" class="ub-sign-out">'
        f'<input type="hidden" name="form_token" value="{escape(form_token())}">'
        f"<span>{escape(operator.name)}</span>"
        f'<button type="submit">{escape(text.SIGN_OUT)}</button></form>'
    )
