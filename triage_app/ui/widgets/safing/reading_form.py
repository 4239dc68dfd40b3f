"""The three voltages at one test point, read by one person and tapped in by the other."""

from collections.abc import Sequence

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import Current, PointReading
from triage_app.domain.safing.points import TestPoint
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.notices import saying_refusals
from triage_app.ui.widgets.safing.storing import form_name, note_and_photo, store_entry


def reading_form(case: Case, point: TestPoint, turn: int, *, left: int) -> None:
    """Ask for the point that is due; nothing is stored while a voltage is missing."""
    with st.container(border=True, key="ub-safing-step"):
        st.subheader(words.reading_title(point.name, turn, left), anchor=False)
        st.markdown(f"{words.WHY} {point.because}. {words.NEVER_REPLACED}")
        _form(case, point, turn)


def later_reading(case: Case, points: Sequence[TestPoint]) -> None:
    """Take a reading at any point once the record stands; it can only make it void."""
    with st.expander(words.LATER_READING):
        st.markdown(words.LATER_INTRO)
        names = [point.name for point in points]
        at = st.selectbox(
            words.LATER_POINT,
            range(len(points)),
            format_func=names.__getitem__,
            key=form_name(case, "later-point"),
        )
        _form(case, points[at], 2)


def _form(case: Case, point: TestPoint, turn: int) -> None:
    form = form_name(case, "reading")
    with st.form(form, border=False, enter_to_submit=False):
        entered = []
        for column, label in zip(
            st.columns(3), (words.POLE_TO_POLE, words.POSITIVE, words.NEGATIVE), strict=True
        ):
            with column:
                entered.append(
                    st.number_input(
                        label, -2000.0, 2000.0, value=None, step=0.1, key=f"{form}-{label}"
                    )
                )
        kinds: list[Current] = list(Current)
        current = st.radio(words.CURRENT, kinds, index=0, horizontal=True, key=f"{form}-current")
        contact = st.checkbox(words.CONTACT, key=f"{form}-contact")
        note, photo_id = note_and_photo(case, form)
        wanted = st.form_submit_button(words.RECORD_READING, type="primary", width="stretch")
    if not wanted:
        return
    first, second, third = entered
    if first is None or second is None or third is None:
        st.error(words.NUMBERS_MISSING)
        return
    with saying_refusals():
        reading = PointReading(
            point_id=point.id,
            point_name=point.name,
            turn=turn,
            pole_to_pole_v=first,
            positive_to_chassis_v=second,
            negative_to_chassis_v=third,
            current=current,
            contact_confirmed=contact,
        )
        store_entry(case, reading, note=note, photo_id=photo_id)
