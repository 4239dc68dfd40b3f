"""The page of the canvas tests: the canvas, a line under it, and nothing else."""

import streamlit as st

from tests.browser.canvas.marks_on_file import HEIGHT_PX, PHOTO, STORE, WIDTH_PX, Hand
from triage_app.ui.widgets.photo_canvas import (
    CanvasPhoto,
    Delete,
    Draw,
    Gesture,
    SameDamage,
    Seen,
    Select,
    photo_canvas,
)

st.set_page_config(layout="wide", initial_sidebar_state="collapsed")
STORE.runs += 1
if "hand" not in st.session_state:
    st.session_state["hand"] = Hand()
    st.session_state["chosen"] = None
hand: Hand = st.session_state["hand"]


def perform(gesture: Gesture) -> None:
    hand.perform(gesture, STORE)
    if isinstance(gesture, Draw | Select):
        st.session_state["chosen"] = gesture.mark_id
    elif isinstance(gesture, Delete) and st.session_state["chosen"] == gesture.mark_id:
        st.session_state["chosen"] = None


joins = st.query_params.get("joins")
same_damage = next(
    (
        SameDamage(finding_id=finding.id, number=finding.number)
        for finding in STORE.case.findings
        if str(finding.number) == joins
    ),
    None,
)
selected = photo_canvas(
    key="canvas-case-1-photo-1-tester",
    photo=CanvasPhoto(
        photo_id=PHOTO,
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        preview_url="/pictures/preview.jpg",
        full_url="/pictures/full.jpg",
        edges_url="/pictures/edges.png",
        title="Photo 1 of the test case",
    ),
    marks=tuple(STORE.canvas_marks()),
    selected=st.session_state["chosen"],
    on_gesture=perform,
    same_damage=same_damage,
    can_undo=bool(hand.undo),
    can_redo=bool(hand.redo),
    seen=Seen(revision=len(STORE.log), url="/test/revision"),
)
st.write(f"chosen: {selected or 'nothing'}")
st.button("Run again")
