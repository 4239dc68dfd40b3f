"""The table of pages, and who may see them; run anew at every click."""

import streamlit as st

from triage_app.domain.errors import TriageError
from triage_app.ui import navigation, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.navigation import Place
from triage_app.ui.pages import cases, intake, make_safe, mark, report, rules, triage
from triage_app.ui.widgets.looks import apply_looks
from triage_app.ui.widgets.way import show_way, show_way_in
from triage_app.ui.wiring import who

PAGES = {
    Place.CASES: (text.PAGE_CASES, cases.show),
    Place.INTAKE: (text.PAGE_INTAKE, intake.show),
    Place.SAFE: (text.PAGE_SAFE, make_safe.show),
    Place.MARK: (text.PAGE_MARK, mark.show),
    Place.TRIAGE: (text.PAGE_TRIAGE, triage.show),
    Place.REPORT: (text.PAGE_REPORT, report.show),
    Place.RULES: (text.PAGE_RULES, rules.show),
}


def main() -> None:
    """Draw the page that was asked for; to a stranger, only the way to sign in."""
    st.set_page_config(page_title=text.PROGRAM, layout="wide")
    apply_looks()
    try:
        chosen = st.navigation(navigation.register(PAGES), position="hidden")
        operator = who()
        if operator is None:
            show_way_in()
            return
        show_way(chosen, operator)
        chosen.run()
    except TriageError as error:
        st.error(as_typed(str(error)))
