"""The gate: every sign answered by a named person, and a decision where one holds the car."""

import streamlit as st

from triage_app.domain.admission.entries import Verdict
from triage_app.domain.admission.status import AdmissionStatus, SignStanding
from triage_app.domain.case import Case
from triage_app.domain.permissions import Action, may
from triage_app.domain.vehicle import Answer
from triage_app.ui import gate_text as words
from triage_app.ui import state, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.names import shown_time
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.case_frame import open_case
from triage_app.ui.widgets.gate_box import gate_box
from triage_app.ui.widgets.notices import next_step, refusals_kept, saying_refusals, show_notices
from triage_app.ui.wiring import operator, services


def show() -> None:
    case = open_case().case
    status = services().admission.status(case)
    show_notices()
    st.title(words.PAGE_GATE, anchor=False)
    _next(status)
    st.html(gate_box(case, status))
    _signs(case, status)
    if status.causes:
        _decide(case, status)


def _next(status: AdmissionStatus) -> None:
    if status.unanswered:
        next_step(words.NEXT_ANSWER)
    elif status.is_held:
        next_step(words.NEXT_DECIDE)
    else:
        next_step(words.NEXT_SAFE, go_to=Place.SAFE)


def _signs(case: Case, status: AdmissionStatus) -> None:
    note = f"gate-note-{case.id}-{len(case.admission)}"
    for sign in status.signs:
        with st.container(
            key=f"ub-gate-{sign.sign}", horizontal=True, vertical_alignment="center", gap="small"
        ):
            st.markdown(f"**{text.SIGNS[sign.sign]}**  \n{_stands(sign)}", width="stretch")
            for answer in (Answer.YES, Answer.NO, Answer.UNKNOWN):
                is_it = sign.answered is not None and sign.answer is answer
                st.button(
                    words.ANSWERS[answer],
                    key=f"gate-{sign.sign}-{answer.name}",
                    type="primary" if is_it else "secondary",
                    on_click=_answer,
                    args=(case, (sign.sign,), answer, note),
                )
    st.text_input(words.NOTE, key=note)
    if len(status.unanswered) > 1:
        st.button(
            words.REST_NO,
            key="gate-rest-no",
            help=words.REST_NO_HELP,
            on_click=_answer,
            args=(case, status.unanswered, Answer.NO, note),
        )


def _stands(sign: SignStanding) -> str:
    if sign.answered is None:
        return words.UNANSWERED
    recorded = sign.answered.recorded
    said = f"{words.ANSWERS[sign.answer]} · {recorded.by}, {shown_time(recorded.at)}"
    return as_typed(f"{said} · {sign.note}" if sign.note else said)


def _answer(case: Case, signs: tuple[str, ...], answer: Answer, note: str) -> None:
    with refusals_kept():
        said = state.typed(note)
        for sign in signs:
            services().admission.answer(case.id, sign, answer, note=said, by=operator())
        state.notify(words.ANSWERED)


def _decide(case: Case, status: AdmissionStatus) -> None:
    st.header(words.DECIDE, anchor=False)
    st.markdown(words.DECIDE_INTRO)
    if not may(operator().roles, Action.DECIDE_ADMISSION):
        return
    with st.form(f"gate-decide-{case.id}-{len(case.admission)}", border=False):
        verdict = st.radio(
            words.VERDICT,
            [Verdict.KEPT_OUTSIDE, Verdict.ADMITTED],
            format_func=words.VERDICTS.__getitem__,
        )
        reason = st.text_area(words.REASON)
        wanted = st.form_submit_button(words.DECIDE_SAVE, type="primary")
    if wanted:
        with saying_refusals():
            services().admission.decide(
                case.id, verdict, reason=reason, seen=status.causes, by=operator()
            )
            state.notify(words.DECIDED)
            st.rerun()
