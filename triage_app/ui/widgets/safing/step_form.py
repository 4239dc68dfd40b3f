"""One step at a time: what to do, why it matters, its own fields, one big button."""

from collections.abc import Callable, Mapping
from datetime import timedelta
from typing import Any

import streamlit as st

from rules.published import GLOVE_CLASSES
from triage_app.domain.case import Case
from triage_app.domain.safing.entries import (
    MakerProcedure,
    Protection,
    SafingInstrument,
    StepDone,
)
from triage_app.domain.safing.state import SafingStatus
from triage_app.domain.safing.step_faults import MAY_BE_OTHERWISE
from triage_app.domain.safing.steps import Step
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.notices import saying_refusals
from triage_app.ui.widgets.safing.storing import (
    form_name,
    meter_fields,
    note_and_photo,
    store_entry,
)

# Filled in by a person: field of StepDone -> value, as Streamlit gives it.
Entry = dict[str, Any]  # Any: fields of many kinds


def step_form(case: Case, status: SafingStatus, step: Step) -> None:
    """Show the step that is due and store it on a tap."""
    form = form_name(case, "step")
    with st.container(border=True, key="ub-safing-step"):
        st.subheader(words.step_title(step), anchor=False)
        st.markdown(f"**{words.STEP_SENTENCES[step]}**")
        st.markdown(f"{words.WHY} {step.why}.")
        with st.form(form, border=False, enter_to_submit=False):
            entered = _FIELDS.get(step, _plain)(form, step, status)
            if step in MAY_BE_OTHERWISE:
                entered |= _otherwise(form)
            note, photo_id = note_and_photo(case, form)
            wanted = st.form_submit_button(words.DONE, type="primary", width="stretch")
    if wanted:
        with saying_refusals():
            done = _done(step, entered)
            store_entry(case, done, note=note, photo_id=photo_id)


def _otherwise(form: str) -> Entry:
    with st.expander(words.OTHERWISE):
        return {
            "instead": st.text_input(words.OTHERWISE_WHAT, key=f"{form}-instead"),
            "reference": st.text_input(words.OTHERWISE_REFERENCE, key=f"{form}-otherwise"),
        }


def _plain(form: str, step: Step, _status: SafingStatus) -> Entry:
    if step not in words.REFERENCES:
        return {}
    return {"reference": st.text_input(words.REFERENCES[step], key=f"{form}-reference")}


def _procedure(form: str, _step: Step, _status: SafingStatus) -> Entry:
    left, right = st.columns(2)
    with left:
        document = st.text_input(words.DOCUMENT, key=f"{form}-document")
        dated = st.text_input(words.DOCUMENT_DATE, key=f"{form}-dated")
    with right:
        minutes = st.number_input(
            words.DISCHARGE_MIN, 0.0, 1440.0, value=None, step=1.0, key=f"{form}-minutes"
        )
        limit = st.number_input(words.LIMIT_V, 0.0, 60.0, value=None, step=1.0, key=f"{form}-limit")
    return {
        "procedure": {
            "document": document,
            "document_date": dated,
            "discharge_min": minutes,
            "limit_dc_v": limit,
        }
    }


def _temperature(form: str, _step: Step, _status: SafingStatus) -> Entry:
    left, right = st.columns(2)
    with left:
        place = st.text_input(words.PLACE, key=f"{form}-place")
        value = st.number_input(words.VALUE_C, -60.0, 1000.0, value=None, key=f"{form}-value")
    with right:
        name = st.text_input(words.INSTRUMENT, key=f"{form}-meter")
        serial = st.text_input(words.SERIAL, key=f"{form}-serial")
    return {
        "reference": place,
        "value": value,
        "unit": "°C",
        "instrument": {"name": name, "serial": serial},
    }


def _protection(form: str, _step: Step, status: SafingStatus) -> Entry:
    st.markdown(words.glove_hint(status.voltage_v))
    left, right = st.columns(2)
    with left:
        reader = st.text_input(words.READER, key=f"{form}-reader")
        glove = st.selectbox(
            words.GLOVE_CLASS,
            [each.name for each in GLOVE_CLASSES],
            index=None,
            placeholder="",
            key=f"{form}-class",
        )
    with right:
        tested = st.date_input(words.GLOVES_TESTED, value=None, key=f"{form}-tested")
        issued = st.date_input(words.GLOVES_ISSUED, value=None, key=f"{form}-issued")
    with st.container(horizontal=True):
        air = st.checkbox(words.AIR_TESTED, key=f"{form}-air")
        leather = st.checkbox(words.LEATHER, key=f"{form}-leather")
        face = st.checkbox(words.FACE, key=f"{form}-face")
    return {
        "protection": {
            "reader": reader,
            "glove_class": glove or "",
            "gloves_tested_on": tested,
            "gloves_issued_on": issued,
            "air_tested_today": air,
            "leather_over_rubber": leather,
            "face_and_arc": face,
        }
    }


def _waiting(_form: str, _step: Step, status: SafingStatus) -> Entry:
    opened = status.entry_of(Step.DISCONNECT_OPEN)
    made = status.entry_of(Step.MAKER_PROCEDURE)
    procedure = made.what.procedure if made and isinstance(made.what, StepDone) else None
    if opened and procedure and procedure.discharge_min is not None:
        until = opened.done_at + timedelta(minutes=procedure.discharge_min)
        st.markdown(f"**{words.wait_until(until)}**")
    return {}


def _proof(form: str, step: Step, status: SafingStatus) -> Entry:
    first = status.entry_of(Step.INSTRUMENT_PROVED)
    known = first.what if first and isinstance(first.what, StepDone) else None
    left, right = st.columns([2, 1])
    with left:
        source = st.text_input(
            words.KNOWN_SOURCE, known.reference if known else "", key=f"{form}-source"
        )
    with right:
        value = st.number_input(words.KNOWN_V, -2000.0, 2000.0, value=None, key=f"{form}-value")
    meter = known.instrument if known and step is Step.INSTRUMENT_PROVED_AGAIN else None
    return {
        "reference": source,
        "value": value,
        "unit": "V",
        "instrument": meter_fields(form, meter),
    }


_FIELDS: Mapping[Step, Callable[[str, Step, SafingStatus], Entry]] = {
    Step.MAKER_PROCEDURE: _procedure,
    Step.FIRST_TEMPERATURE: _temperature,
    Step.PROTECTION: _protection,
    Step.DISCHARGE_WAITED: _waiting,
    Step.INSTRUMENT_PROVED: _proof,
    Step.INSTRUMENT_PROVED_AGAIN: _proof,
}


def _done(step: Step, entered: Entry) -> StepDone:
    """Return the step as entered; raises InvalidInputError."""
    made = dict(entered)
    if made.get("value") is None:
        made.pop("unit", None)
    if "instrument" in made:
        made["instrument"] = SafingInstrument(**made["instrument"])
    if "procedure" in made:
        made["procedure"] = MakerProcedure(**made["procedure"])
    if "protection" in made:
        made["protection"] = Protection(**made["protection"])
    return StepDone(step=step, **made)
