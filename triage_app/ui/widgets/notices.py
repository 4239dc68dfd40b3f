"""Sentences that a button or a callback left behind, and refusals on the spot."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import streamlit as st

from triage_app.domain.errors import TriageError
from triage_app.ui import navigation, state, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.navigation import Place


def show_notices() -> None:
    """Show, once, what was kept for this run."""
    for notice in state.take_notices():
        if notice.tone is state.Tone.PROBLEM:
            st.error(as_typed(notice.text))
        else:
            st.success(as_typed(notice.text))


def next_step(sentence: str, *, go_to: Place | None = None) -> None:
    """Say in one plain line what to do next, with the way there; every page has one."""
    with st.container(horizontal=True, vertical_alignment="center", key="ub-next"):
        st.markdown(f"**{text.NEXT}** {sentence}", width="content")
        if go_to is not None:
            st.page_link(navigation.page(go_to))


def changed_meanwhile(form: str, *, is_stale: bool) -> None:
    """Say that somebody else changed what a form shows, with the way to theirs."""
    if is_stale:
        st.warning(text.CHANGED_MEANWHILE)
        st.button(text.SHOW_STORED, key=f"stored-{form}", on_click=state.show_stored, args=(form,))


def store_form(form: str, store: Callable[[], object], *, done: str) -> None:
    """Store what a form holds; a refusal is said on the spot and leaves the entry standing."""
    try:
        store()
    except TriageError as error:
        st.error(as_typed(str(error)))
        return
    state.show_stored(form)
    state.notify(done)
    st.rerun()


@contextmanager
def refusals_kept() -> Iterator[None]:
    """Keep the sentence of a refusal for the next run; for callbacks, which cannot draw."""
    try:
        yield
    except TriageError as error:
        state.notify(str(error), state.Tone.PROBLEM)


@contextmanager
def saying_refusals() -> Iterator[None]:
    """Say the sentence of a refusal on the spot; what was entered stays in its fields."""
    try:
        yield
    except TriageError as error:
        st.error(as_typed(str(error)))
