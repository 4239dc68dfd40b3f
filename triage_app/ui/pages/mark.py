"""Mark the damage on one photo, and say beside it what it is."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case, Finding, Photo
from triage_app.ui import mark_text, state, text
from triage_app.ui.names import finding_name, photo_numbers
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.case_frame import OpenCase, open_case
from triage_app.ui.widgets.finding_answer import answer_html, chips_html
from triage_app.ui.widgets.finding_list import finding_list
from triage_app.ui.widgets.finding_tools import finding_tools, same_as_another, withdrawn_list
from triage_app.ui.widgets.marked_photo import marked_photo
from triage_app.ui.widgets.measure_panel import measure_panel
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.widgets.orange_areas import orange_areas
from triage_app.ui.widgets.photo_turner import photo_turner, strip_of
from triage_app.ui.widgets.plan_map import underside_map
from triage_app.ui.widgets.retake import retake_at_marks, retake_photo
from triage_app.ui.widgets.tag_form import tag_form
from triage_app.ui.widgets.unseen_damage import unseen_damage


def show() -> None:
    opened = open_case()
    case = opened.case
    photo_id = state.photo_id([photo.id for photo in case.photos])
    finding = _selected(case)
    st.html(f'<h1 class="ub-hidden">{escape(text.PAGE_MARK)}</h1>')
    if photo_id is None:
        next_step(_what_next(case, finding), go_to=_where_next(case))
        _beside(opened, finding, None)
        return
    state.show_in_address()
    photo = case.photo(photo_id)
    with st.container(key="ub-workbench"):
        left, right = st.columns([68, 32], gap="small")
        with left:
            photo_turner(case, photo)
            marked_photo(opened, photo)
            strip_of(case, photo)
        with right:
            # Beside the photo and not above it, which would push the photo down the page.
            next_step(_what_next(case, finding), go_to=_where_next(case))
            retake_photo(photo)
            orange_areas(case.id, photo)
            _beside(opened, finding, photo)


def _selected(case: Case) -> Finding | None:
    finding_id = state.selected_finding()
    finding = case.find_finding(finding_id) if finding_id else None
    return finding if finding and finding.withdrawn is None else None


def _what_next(case: Case, finding: Finding | None) -> str:
    if not case.photos:
        return mark_text.MARK_NEXT_NO_PHOTOS
    if finding is None:
        return mark_text.MARK_NEXT_DRAW
    is_named = finding.tags.component and finding.tags.damage
    return mark_text.MARK_NEXT_GO_ON if is_named else mark_text.MARK_NEXT_TAG


def _where_next(case: Case) -> Place | None:
    if not case.photos:
        return Place.INTAKE
    return Place.TRIAGE if case.open_findings else None


def _beside(opened: OpenCase, finding: Finding | None, photo: Photo | None) -> None:
    if finding is None:
        show_notices()
        underside_map(opened.case, opened.assessment)
        finding_list(opened.case, opened.assessment)
        unseen_damage(opened.case)
        withdrawn_list(opened.case)
        return
    st.button(mark_text.BACK_TO_LIST, on_click=state.select, args=(None, None))
    st.subheader(finding_name(finding), anchor=False)
    st.caption(mark_text.seen_on(photo_numbers(opened.case, finding)))
    answer = opened.assessment.of(finding.id) if finding.is_open else None
    if answer:
        st.html(chips_html(answer))
    same_as_another(opened.case, finding, state.selected_mark())
    retake_at_marks(opened.case, finding)
    tag_form(opened.case, finding)
    if photo is not None:
        measure_panel(opened.case, finding, photo)
    if answer:
        st.html(answer_html(opened.case, answer))
    finding_tools(opened.case, finding, state.selected_mark())
