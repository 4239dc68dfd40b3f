"""Tagging one finding: fields, save, and both versions when somebody else was faster."""

from contextlib import suppress
from functools import partial

import streamlit as st

from triage_app.domain.case import Case, Finding, Tags
from triage_app.domain.errors import StaleCaseError
from triage_app.domain.ids import CaseId, FindingId
from triage_app.ui import mark_text, state
from triage_app.ui.markdown import as_typed
from triage_app.ui.state import Draft
from triage_app.ui.widgets.notices import refusals_kept, show_notices
from triage_app.ui.widgets.tag_fields import (
    LABELS,
    entered_values,
    shown_value,
    tag_fields,
    tags_from,
    values_from,
)
from triage_app.ui.wiring import operator, services


def tag_form(case: Case, finding: Finding) -> None:
    """Draw the fields from the draft where there is one, else from what is stored."""
    draft = state.draft_of(finding.id)
    start = draft or Draft(
        base=finding.tags, base_revision=finding.revision, values=values_from(finding.tags)
    )
    prefix = f"tag-{finding.id}-{state.draft_round()}-{start.base_revision}"
    tag_fields(
        prefix,
        start.values,
        on_change=partial(_keep, finding.id, start, prefix),
        used=_used_last(case, finding),
    )
    st.button(
        mark_text.SAVE_FINDING,
        key=f"save-{finding.id}",
        type="primary",
        disabled=draft is None,
        width="stretch",
        on_click=_save,
        args=(case.id, finding.id),
    )
    show_notices()
    if draft and draft.base != finding.tags:
        _both_versions(case.id, finding, draft)
    elif draft:
        st.caption(mark_text.UNSAVED)
        st.button(
            mark_text.DISCARD,
            key=f"discard-{finding.id}",
            on_click=state.drop_draft,
            args=(finding.id,),
        )


def _used_last(case: Case, finding: Finding) -> list[Tags]:
    """Return what was said of the other findings of this case, the newest first."""
    return [other.tags for other in reversed(case.open_findings) if other.id != finding.id]


def _keep(finding_id: FindingId, start: Draft, prefix: str) -> None:
    """Remember every change at once, so that looking at another mark loses nothing."""
    values = entered_values(prefix)
    if values == values_from(start.base):
        state.forget_draft(finding_id)
        return
    state.keep_draft(
        finding_id, Draft(base=start.base, base_revision=start.base_revision, values=values)
    )


def _save(case_id: CaseId, finding_id: FindingId) -> None:
    draft = state.draft_of(finding_id)
    if draft is None:
        return
    # Where somebody else was faster, the next run shows both versions; a sentence adds nothing.
    with refusals_kept(), suppress(StaleCaseError):
        stored = services().cases.get(case_id).finding(finding_id)
        # A mark drawn meanwhile raises the revision too, and contradicts nothing entered here.
        same_words = stored.tags == draft.base
        services().marking.tag(
            case_id,
            finding_id,
            tags_from(draft.values),
            expected_revision=stored.revision if same_words else draft.base_revision,
            by=operator(),
        )
        state.drop_draft(finding_id)
        state.notify(mark_text.finding_saved(stored.number))


def _both_versions(case_id: CaseId, finding: Finding, draft: Draft) -> None:
    """Show what differs, and let the person decide; nothing is merged by itself."""
    st.warning(mark_text.CONFLICT)
    stored = values_from(finding.tags)
    rows = [
        {
            "": LABELS[name],
            mark_text.CONFLICT_THEIRS: as_typed(shown_value(name, stored[name])),
            mark_text.CONFLICT_YOURS: as_typed(shown_value(name, mine)),
        }
        for name, mine in draft.values.items()
        if mine != stored[name]
    ]
    st.table(rows)
    with st.container(horizontal=True):
        st.button(
            mark_text.KEEP_THEIRS,
            key=f"theirs-{finding.id}",
            on_click=state.drop_draft,
            args=(finding.id,),
        )
        st.button(
            mark_text.SAVE_MINE,
            key=f"mine-{finding.id}",
            on_click=_save_over,
            args=(case_id, finding, draft),
        )


def _save_over(case_id: CaseId, seen: Finding, draft: Draft) -> None:
    """Save mine over the version that was shown, and over no later one."""
    rebased = Draft(base=seen.tags, base_revision=seen.revision, values=draft.values)
    state.keep_draft(seen.id, rebased)
    _save(case_id, seen.id)
