"""The warning signs on arrival, asked first. Not known counts as worse."""

from dataclasses import replace

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.vehicle import Answer, Incident
from triage_app.ui import state, text, words
from triage_app.ui.widgets.notices import changed_meanwhile, store_form
from triage_app.ui.wiring import operator, services


def signs_form(case: Case) -> None:
    """Ask for each sign; once all are answered, show the answers and fold the form away."""
    form = f"signs-{case.id}"
    base = state.first_shown(form, case.incident)
    answers = {name: getattr(case.incident, name) for name in text.SIGNS}
    shown = {name: getattr(base, name) for name in text.SIGNS}
    all_known = Answer.UNKNOWN not in answers.values()
    with st.expander(text.SIGNS_TITLE, expanded=not all_known):
        st.markdown(text.SIGNS_FIRST)
        changed_meanwhile(form, is_stale=shown != answers)
        with st.form(form, border=False, enter_to_submit=False):
            with st.container(horizontal=True, gap="medium"):
                entered = {name: _ask(name, stored) for name, stored in shown.items()}
            wanted = st.form_submit_button(text.SAVE_SIGNS, type="primary")
    if all_known:
        st.html(f'<p class="ub-signs">{_answers(answers)}</p>')
    if wanted:
        store_form(form, lambda: _store(case, base, entered), done=text.SIGNS_SAVED)


def _ask(name: str, stored: Answer) -> Answer:
    choices = list(Answer)
    return st.radio(
        text.SIGNS[name],
        choices,
        index=choices.index(stored),
        format_func=words.ANSWERS.__getitem__,
        horizontal=True,
        width="content",
    )


def _answers(answers: dict[str, Answer]) -> str:
    said = [f"{text.SIGNS[name]}: <b>{words.ANSWERS[one]}</b>" for name, one in answers.items()]
    return " · ".join(said)


def _store(case: Case, base: Incident, entered: dict[str, Answer]) -> None:
    incident = replace(base, **entered)  # type: ignore[arg-type]  # the signs only
    services().intake.describe_incident(case.id, incident, by=operator(), base=base)
