"""The table of pages, and who may see them; run anew at every click."""

import streamlit as st

from triage_app.domain.errors import TriageError
from triage_app.ui import gate_text, navigation, people_text, review_text, state, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.navigation import Place
from triage_app.ui.pages import (
    cases,
    checklist,
    gate,
    intake,
    make_safe,
    mark,
    people,
    report,
    review,
    rules,
    settings,
    triage,
)
from triage_app.ui.widgets.lock_cover import lock_cover
from triage_app.ui.widgets.looks import apply_looks
from triage_app.ui.widgets.way import show_locked, show_way, show_way_in
from triage_app.ui.wiring import seat, who

PAGES = {
    Place.CASES: (text.PAGE_CASES, cases.show),
    Place.INTAKE: (text.PAGE_INTAKE, intake.show),
    Place.GATE: (gate_text.PAGE_GATE, gate.show),
    Place.SAFE: (text.PAGE_SAFE, make_safe.show),
    Place.MARK: (text.PAGE_MARK, mark.show),
    Place.CHECKLIST: (gate_text.PAGE_CHECKLIST, checklist.show),
    Place.TRIAGE: (text.PAGE_TRIAGE, triage.show),
    Place.REVIEW: (review_text.PAGE_REVIEW, review.show),
    Place.REPORT: (text.PAGE_REPORT, report.show),
    Place.RULES: (text.PAGE_RULES, rules.show),
    Place.PEOPLE: (people_text.PAGE_PEOPLE, people.show),
    Place.SETTINGS: (people_text.PAGE_SETTINGS, settings.show),
}


def main() -> None:
    """Draw the page that was asked for; to a stranger, only the way to sign in."""
    st.set_page_config(page_title=text.PROGRAM, layout="wide")
    apply_looks()
    try:
        chosen = st.navigation(navigation.register(PAGES), position="hidden")
        seated = seat()
        if seated is None:
            show_way_in()
            return
        # Whoever takes the tablet over finds nothing that the person before had half entered.
        state.belong_to(seated.account.id)
        lock_cover(seated)
        operator = who()
        if operator is None:
            show_locked(seated.account.name)
            return
        show_way(chosen, operator)
        chosen.run()
    except TriageError as error:
        st.error(as_typed(str(error)))
