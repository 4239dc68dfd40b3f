"""The review queue: each finding at high voltage before a named reviewer, the worst first."""

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.ids import FindingId, Sha256
from triage_app.domain.permissions import Action, may
from triage_app.domain.review.queue import FindingReview
from triage_app.ui import review_text as words
from triage_app.ui import state
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.case_frame import open_case
from triage_app.ui.widgets.notices import next_step, refusals_kept, show_notices
from triage_app.ui.widgets.review_item import review_card, short_line
from triage_app.ui.widgets.safing.status_box import points_html
from triage_app.ui.wiring import operator, services


def show() -> None:
    case = open_case().case
    queue = services().review.queue(case)
    show_notices()
    st.title(words.PAGE_REVIEW, anchor=False)
    waiting = len(queue.waiting)
    next_step(
        words.next_look(waiting) if waiting else words.NEXT_EMPTY,
        go_to=None if waiting else Place.REPORT,
    )
    is_reviewer = may(operator().roles, Action.REVIEW_FINDING)
    if not is_reviewer:
        st.caption(words.FOR_SENIOR)
    st.header(words.ONE_BY_ONE, anchor=False)
    _one_by_one(case, queue.one_by_one, is_reviewer=is_reviewer)
    st.header(words.GROUP, anchor=False)
    _group(case, queue.group, is_reviewer=is_reviewer)
    with st.expander(words.READINGS):
        st.html(points_html(services().safing.status(case)))
    st.caption(words.SIGNS_WHAT)


def _one_by_one(case: Case, items: tuple[FindingReview, ...], *, is_reviewer: bool) -> None:
    """Show the first that waits in full; the next comes by itself once it is signed."""
    if not items:
        st.caption(words.NONE_HERE)
    first = next((item for item in items if item.is_waiting), None)
    for item in items:
        if item is first:
            review_card(case, item, is_reviewer=is_reviewer)
        else:
            with st.expander(short_line(item)):
                review_card(case, item, is_reviewer=is_reviewer)


def _group(case: Case, items: tuple[FindingReview, ...], *, is_reviewer: bool) -> None:
    if not items:
        st.caption(words.NONE_HERE)
        return
    for item in items:
        with st.expander(short_line(item)):
            review_card(case, item, is_reviewer=is_reviewer)
    seen = {item.finding.id: item.sha256 for item in items if item.is_waiting}
    if seen and is_reviewer:
        st.button(words.GROUP_ALL, type="primary", on_click=_acknowledge, args=(case, seen))


def _acknowledge(case: Case, seen: dict[FindingId, Sha256]) -> None:
    with refusals_kept():
        services().review.acknowledge(case.id, seen, by=operator())
        state.notify(words.SIGNED)
