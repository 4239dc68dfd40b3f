"""Who is signed in, the current case, and the way in and out."""

from html import escape

import streamlit as st

from triage_app.domain.errors import NotFoundError
from triage_app.domain.signed import Operator
from triage_app.ui import navigation, state, text
from triage_app.ui.navigation import Place
from triage_app.ui.wiring import form_token, services

_STEPS = (Place.INTAKE, Place.MARK, Place.TRIAGE, Place.REPORT)


def show_way_in() -> None:
    """Say that nobody is signed in; a plain link, so that the browser gets a new cookie."""
    st.html(
        f'<div class="ub-way-in"><h1>{escape(text.PROGRAM)}</h1>'
        f"<p>{escape(text.SIGN_IN_AGAIN)}</p>"
        f'<a class="ub-button" href="/sign-in" target="_self">{escape(text.SIGN_IN)}</a></div>'
    )


def show_sidebar(operator: Operator) -> None:
    with st.sidebar:
        st.markdown(f"**{text.PROGRAM}**")
        _current_case()
        st.page_link(navigation.page(Place.CASES))
        st.page_link(navigation.page(Place.RULES))
        st.divider()
        st.text(text.signed_in_as(operator.name))
        st.html(
            '<form method="post" action="/sign-out" class="ub-sign-out">'
            f'<input type="hidden" name="form_token" value="{escape(form_token())}">'
            f'<button type="submit">{escape(text.SIGN_OUT)}</button></form>'
        )


def _current_case() -> None:
    case_id = state.case_id()
    if case_id is None:
        st.caption(text.NO_CASE)
        return
    try:
        case = services().cases.get(case_id)
    except NotFoundError:
        return  # the page itself says so
    st.caption(text.CURRENT_CASE)
    st.text(text.case_title(case.reference, case.vehicle.description))
    for place in _STEPS:
        st.page_link(navigation.page(place))
