"""What happened to the car, in one tap each."""

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import Happened
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.safing.storing import store_entry


def event_buttons(case: Case) -> None:
    st.markdown(words.EVENT_INTRO)
    columns = st.columns(2)
    for number, (what, label) in enumerate(words.EVENTS.items()):
        with columns[number % 2]:
            if st.button(label, key=f"safe-event-{what.name}", width="stretch"):
                store_entry(case, Happened(what=what), done=words.EVENT_STORED)
