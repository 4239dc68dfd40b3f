"""A page with nothing but gestures: run by ``test_gestures.py``, which puts them in the session."""

import streamlit as st

from triage_app.domain.errors import TriageError
from triage_app.ui import state
from triage_app.ui.marking_gestures import PhotoGestures

if "gestures" in st.session_state:
    take = PhotoGestures(case_id=st.session_state["case_id"], photo_id=st.session_state["photo_id"])
    for gesture in st.session_state["gestures"]:
        try:
            take(gesture)
        except TriageError as error:
            st.error(str(error))
    st.text(str(state.selected_mark()))
    st.text(str(len(state.undo_stack())))
    st.text(str(len(state.redo_stack())))
