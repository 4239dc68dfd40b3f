"""The units of this car: start from a template, edit it, name the document that shows it."""

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import LayoutChosen
from triage_app.domain.safing.layouts import TEMPLATES, HvLayout, HvUnit, LayoutTemplate
from triage_app.domain.safing.points import layout_of
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.notices import saying_refusals
from triage_app.ui.widgets.safing.storing import form_name, store_entry


def layout_form(case: Case) -> None:
    st.markdown(words.LAYOUT_INTRO)
    now = layout_of(case)
    templates = list(TEMPLATES)
    if now is not None:
        templates.insert(0, LayoutTemplate(name=words.AS_CHOSEN, units=now.units, extra=now.extra))
    chosen = st.selectbox(
        words.TEMPLATE,
        range(len(templates)),
        format_func=lambda index: templates[index].name,
        key=f"safe-template-{form_name(case, 'layout')}",
    )
    template = templates[chosen]
    form = f"{form_name(case, 'layout')}-{template.name}"
    with st.form(form, border=True, enter_to_submit=False):
        units = _units(form, template)
        extra = st.text_area(words.EXTRA, "\n".join(template.extra), height=80, key=f"{form}-extra")
        document = st.text_input(
            words.LAYOUT_DOCUMENT, now.document if now else "", key=f"{form}-document"
        )
        wanted = st.form_submit_button(words.CHOOSE_LAYOUT, type="primary", width="stretch")
    if wanted:
        with saying_refusals():
            named = tuple(line.strip() for line in extra.splitlines() if line.strip())
            layout = HvLayout(units=units, extra=named, document=document)
            store_entry(case, LayoutChosen(layout=layout))


def _units(form: str, template: LayoutTemplate) -> tuple[HvUnit, ...]:
    """Ask for the units one tick each: a target that a glove can hit."""
    st.markdown(f"**{words.UNITS}**")
    with st.container(horizontal=True):
        ticked = {
            unit: st.checkbox(
                unit.value,
                value=unit in template.units,
                # Every car has a battery output.
                disabled=unit is HvUnit.BATTERY_OUTPUT,
                key=f"{form}-{unit.name}",
            )
            for unit in HvUnit
        }
    return tuple(unit for unit, is_there in ticked.items() if is_there)
