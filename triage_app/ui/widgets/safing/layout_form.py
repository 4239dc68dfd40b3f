"""The units of this car: start from a template, edit it, name the document that shows it."""

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import LayoutChosen
from triage_app.domain.safing.layouts import TEMPLATES, HvLayout, HvUnit
from triage_app.domain.safing.points import layout_of
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.notices import saying_refusals
from triage_app.ui.widgets.safing.storing import form_name, store_entry


def layout_form(case: Case) -> None:
    st.markdown(words.LAYOUT_INTRO)
    now = layout_of(case)
    stored = {"as chosen for this car": now.units} if now else {}
    templates = {**stored, **TEMPLATES}
    template = st.selectbox(words.TEMPLATE, list(templates), key=f"safe-template-{case.id}")
    form = f"{form_name(case, 'layout')}-{template}"
    with st.form(form, border=True, enter_to_submit=False):
        units = st.multiselect(
            words.UNITS, list(HvUnit), default=list(templates[template]), key=f"{form}-units"
        )
        extra = st.text_area(
            words.EXTRA, "\n".join(now.extra) if now else "", height=80, key=f"{form}-extra"
        )
        document = st.text_input(
            words.LAYOUT_DOCUMENT, now.document if now else "", key=f"{form}-document"
        )
        wanted = st.form_submit_button(words.CHOOSE_LAYOUT, type="primary", width="stretch")
    if wanted:
        with saying_refusals():
            named = tuple(line.strip() for line in extra.splitlines() if line.strip())
            layout = HvLayout(units=tuple(units), extra=named, document=document)
            store_entry(case, LayoutChosen(layout=layout))
