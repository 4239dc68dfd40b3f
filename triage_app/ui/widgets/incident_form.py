"""What happened, in the words of whoever brought the car, and the insurer's figures."""

from dataclasses import replace
from decimal import Decimal, InvalidOperation

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.vehicle import Answer, Incident
from triage_app.ui import state, text
from triage_app.ui.widgets.notices import changed_meanwhile, store_form
from triage_app.ui.wiring import operator, services


def incident_form(case: Case) -> None:
    """Show the fields as stored; on a tap on the button, save them."""
    form = f"incident-{case.id}"
    base = state.first_shown(form, case.incident)
    changed_meanwhile(form, is_stale=_told(base) != _told(case.incident))
    with st.form(form, border=False, enter_to_submit=False):
        entered = _fields(base)
        wanted = st.form_submit_button(text.SAVE_INCIDENT, type="primary")
    if wanted:
        store_form(form, lambda: _store(case, base, entered), done=text.INCIDENT_SAVED)


def _told(incident: Incident) -> Incident:
    """Return the incident without the signs, which have a form of their own."""
    return replace(incident, **dict.fromkeys(incident.signs, Answer.UNKNOWN))  # type: ignore[arg-type]  # signs only


def _fields(incident: Incident) -> dict[str, str]:
    entered = {
        "what_happened": st.text_area(text.WHAT_HAPPENED, incident.what_happened, height=120)
    }
    left, right = st.columns(2)
    with left:
        entered["happened_on"] = st.text_input(text.HAPPENED_ON, incident.happened_on)
        entered["arrived_how"] = st.text_input(text.ARRIVED_HOW, incident.arrived_how)
        entered["insurer_reference"] = st.text_input(
            text.INSURER_REFERENCE, incident.insurer_reference
        )
    with right:
        value = incident.pre_loss_value
        entered["pre_loss_value"] = st.text_input(
            text.PRE_LOSS_VALUE,
            "" if value is None else str(value),
            placeholder=text.PRE_LOSS_HINT,
        )
        entered["currency"] = st.text_input(text.CURRENCY, incident.currency)
    return entered


def _store(case: Case, base: Incident, entered: dict[str, str]) -> None:
    incident = replace(
        base,
        what_happened=entered["what_happened"],
        happened_on=entered["happened_on"],
        arrived_how=entered["arrived_how"],
        insurer_reference=entered["insurer_reference"],
        pre_loss_value=_money(entered["pre_loss_value"]),
        currency=entered["currency"],
    )
    services().intake.describe_incident(case.id, incident, by=operator(), base=base)


def _money(entered: str) -> Decimal | None:
    """Return the amount; InvalidInputError rather than a guess where a comma could mean either."""
    kept = entered.strip().replace(" ", "")
    if not kept:
        return None
    try:
        return Decimal(kept)
    except InvalidOperation as error:
        raise InvalidInputError(text.VALUE_NOT_A_NUMBER) from error
