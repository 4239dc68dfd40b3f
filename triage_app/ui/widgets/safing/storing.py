"""Store one entry of the record in the name of whoever is signed in: the second person."""

from datetime import date

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.ids import PhotoId
from triage_app.domain.safing.entries import Entered, MeterCategory, SafingInstrument
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.notices import store_form
from triage_app.ui.wiring import operator, services


def form_name(case: Case, part: str) -> str:
    """Return the name of a form; a new one after each entry, so that it starts empty."""
    return f"safe-{part}-{case.id}-{len(case.safing)}"


def store_entry(
    case: Case,
    what: Entered,
    *,
    done: str = words.STORED,
    note: str = "",
    photo_id: PhotoId | None = None,
) -> None:
    """Store it; a refusal is said on the spot and leaves what was entered standing."""
    store_form(
        form_name(case, "stored"),
        lambda: services().safing.record(
            case.id, what, by=operator(), note=note, photo_id=photo_id
        ),
        done=done,
    )


def note_and_photo(case: Case, form: str) -> tuple[str, PhotoId | None]:
    """Ask for a note and a photo of the case, folded away until wanted."""
    with st.expander(words.MORE):
        note = st.text_input(words.NOTE, key=f"{form}-note")
        names = {None: words.NO_PHOTO} | {photo.id: photo.file_name for photo in case.photos}
        chosen = st.selectbox(
            words.PHOTO, list(names), format_func=names.__getitem__, key=f"{form}-photo"
        )
    return note, chosen


def meter_fields(form: str, known: SafingInstrument | None) -> dict[str, object]:
    """Ask for a voltmeter; ``known`` is the one that was proved before."""
    left, middle, right = st.columns(3)
    categories = [None, *MeterCategory]
    due: date | None = known.calibration_due if known else None
    with left:
        name = st.text_input(words.INSTRUMENT, known.name if known else "", key=f"{form}-meter")
        serial = st.text_input(words.SERIAL, known.serial if known else "", key=f"{form}-serial")
    with middle:
        category = st.selectbox(
            words.CATEGORY,
            categories,
            index=categories.index(known.category) if known else 0,
            format_func=lambda one: "Not known" if one is None else one.value,
            key=f"{form}-category",
        )
        rated_v = st.number_input(
            words.RATED_V,
            min_value=0.0,
            max_value=10_000.0,
            value=known.rated_v if known else None,
            step=100.0,
            key=f"{form}-rated",
        )
    with right:
        due = st.date_input(words.CALIBRATION_DUE, value=due, key=f"{form}-due")
    return {
        "name": name,
        "serial": serial,
        "category": category,
        "rated_v": rated_v,
        "calibration_due": due,
    }
