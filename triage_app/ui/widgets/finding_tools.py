"""What else can be done to a finding: further views, same damage, withdraw, restore."""

import streamlit as st

from triage_app.domain.case import Case, Finding
from triage_app.domain.ids import CaseId, FindingId, MarkId
from triage_app.ui import mark_text, state
from triage_app.ui.names import finding_name
from triage_app.ui.widgets.notices import refusals_kept
from triage_app.ui.wiring import operator, services

SAME_OFFERED = 4


def finding_tools(case: Case, finding: Finding, mark_id: MarkId | None) -> None:
    """Draw the tools of the selected finding; ``mark_id`` is its selected mark, if any."""
    _further_views(finding)
    with st.expander(mark_text.MORE):
        others = [other for other in case.open_findings if other.id != finding.id]
        if mark_id is not None and others:
            _same_damage(case.id, mark_id, others)
        _withdraw(case.id, finding)


def same_as_another(case: Case, finding: Finding, mark_id: MarkId | None) -> None:
    """Offer, while a finding has no name yet, that its mark shows a damage already found.

    One tap each; undo on the photo takes it back. The findings touched last stand first.
    """
    if mark_id is None or finding.tags.component or finding.tags.damage:
        return
    others = [other for other in case.open_findings if other.tags.component or other.tags.damage]
    if not others:
        return
    st.caption(mark_text.SAME_DAMAGE_QUICK)
    with st.container(horizontal=True, gap="xsmall", key="ub-same"):
        for other in sorted(others, key=lambda one: -one.number)[:SAME_OFFERED]:
            st.button(
                finding_name(other),
                key=f"same-as-{other.id}",
                on_click=_join,
                args=(case.id, mark_id, other.id),
            )


def withdrawn_list(case: Case) -> None:
    """Show withdrawn findings with who and why, and the way back."""
    withdrawn = [finding for finding in case.findings if finding.withdrawn]
    if not withdrawn:
        return
    with st.expander(f"{mark_text.WITHDRAWN} ({len(withdrawn)})"):
        for finding in withdrawn:
            _withdrawn_row(case.id, finding)


def _further_views(finding: Finding) -> None:
    if state.further_view_of() == finding.id:
        st.info(mark_text.further_views_of(finding.number))
        st.button(mark_text.FURTHER_VIEW_STOP, on_click=state.mark_further_views_of, args=(None,))
        return
    st.button(mark_text.FURTHER_VIEW, on_click=state.mark_further_views_of, args=(finding.id,))


def _same_damage(case_id: CaseId, mark_id: MarkId, others: list[Finding]) -> None:
    names = {finding.id: finding_name(finding) for finding in others}
    chosen = st.selectbox(
        mark_text.SAME_DAMAGE,
        list(names),
        index=None,
        format_func=names.__getitem__,
        placeholder=mark_text.CHOOSE,
        key=f"same-{mark_id}",
    )
    st.button(
        mark_text.SAME_DAMAGE_DO,
        disabled=chosen is None,
        on_click=_join,
        args=(case_id, mark_id, chosen),
    )


def _join(case_id: CaseId, mark_id: MarkId, finding_id: FindingId) -> None:
    with refusals_kept():
        marked = services().marking.same_damage(case_id, mark_id, finding_id, by=operator())
        state.remember_undo(marked.undo)
        state.select(mark_id, finding_id)


def _withdraw(case_id: CaseId, finding: Finding) -> None:
    st.caption(mark_text.WITHDRAW_HINT)
    key = f"withdraw-reason-{finding.id}"
    st.text_input(mark_text.WITHDRAW_REASON, key=key)
    st.button(mark_text.WITHDRAW, on_click=_do_withdraw, args=(case_id, finding, key))


def _do_withdraw(case_id: CaseId, finding: Finding, reason_key: str) -> None:
    with refusals_kept():
        services().marking.withdraw(
            case_id,
            finding.id,
            reason=state.typed(reason_key),
            expected_revision=finding.revision,
            by=operator(),
        )
        state.drop_draft(finding.id)
        state.select(None, None)
        state.mark_further_views_of(None)
        state.notify(mark_text.finding_withdrawn(finding.number))


def _withdrawn_row(case_id: CaseId, finding: Finding) -> None:
    gone = finding.withdrawn
    if gone is None:
        return
    st.text(f"{finding_name(finding)} · {gone.reason} ({gone.signed.by})")
    st.button(
        mark_text.RESTORE,
        key=f"restore-{finding.id}",
        on_click=_restore,
        args=(case_id, finding.id),
    )


def _restore(case_id: CaseId, finding_id: FindingId) -> None:
    with refusals_kept():
        services().marking.restore(case_id, finding_id, by=operator())
