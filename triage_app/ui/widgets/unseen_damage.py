"""Put a damage on record that no photo shows: one that was felt, heard, or seen in a mirror."""

from uuid import uuid4

import streamlit as st

from triage_app.domain.case import Case, Tags
from triage_app.domain.ids import CaseId, FindingId
from triage_app.ui import mark_text, state
from triage_app.ui.widgets.notices import refusals_kept
from triage_app.ui.widgets.tag_fields import entered_values, tag_fields, tags_from, values_from
from triage_app.ui.wiring import operator, services


def unseen_damage(case: Case) -> None:
    """Show the fields folded away; saving makes a finding without a mark."""
    with st.expander(mark_text.UNSEEN):
        st.caption(mark_text.UNSEEN_HINT)
        prefix = f"unseen-{case.id}-{state.draft_round()}"
        tag_fields(prefix, values_from(Tags()), on_change=_nothing)
        st.button(mark_text.UNSEEN_SAVE, on_click=_save, args=(case.id, prefix), type="primary")


def _save(case_id: CaseId, prefix: str) -> None:
    with refusals_kept():
        finding_id = FindingId(uuid4().hex)
        case = services().marking.add_finding(
            case_id, tags_from(entered_values(prefix)), by=operator(), finding_id=finding_id
        )
        state.drop_draft(finding_id)
        state.select(None, finding_id)
        state.notify(mark_text.finding_saved(case.finding(finding_id).number))


def _nothing() -> None:
    """Do nothing more: the fields themselves remember what was entered."""
