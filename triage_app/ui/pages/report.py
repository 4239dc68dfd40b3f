"""What is missing, make the Word report, and fetch it."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case, IssuedReport
from triage_app.domain.errors import TriageError
from triage_app.domain.permissions import Action, may
from triage_app.domain.release import Blocker, BlockerKind
from triage_app.report.pdf import pdf_is_possible
from triage_app.ui import navigation, report_text, review_text, state, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.missing import missing_sentences
from triage_app.ui.names import shown_time
from triage_app.ui.navigation import Place
from triage_app.ui.picture_links import (
    FINDINGS_FILE,
    MARKS_FILE,
    list_link,
    pdf_link,
    report_link,
)
from triage_app.ui.widgets.case_frame import OpenCase, open_case
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.wiring import operator, services, wiring

_WHERE = {
    BlockerKind.ADMISSION: Place.GATE,
    BlockerKind.MAKE_SAFE: Place.SAFE,
    BlockerKind.INSPECTION: Place.CHECKLIST,
    BlockerKind.TRIAGE: Place.MARK,
    BlockerKind.REVIEW: Place.REVIEW,
}


def show() -> None:
    opened = open_case()
    case = opened.case
    show_notices()
    st.title(text.PAGE_REPORT, anchor=False)
    next_step(_what_next(case))
    if st.button(report_text.MAKE_REPORT, type="primary"):
        _make(case)
    st.html(
        f'<p class="ub-draft"><b>{escape(report_text.DRAFT)}</b> '
        f"{escape(report_text.DRAFT_MEANS)}</p>"
    )
    _release(case)
    _issued(case)
    _missing(opened)
    _other_files(case)


def _what_next(case: Case) -> str:
    if not case.reports:
        return report_text.REPORT_NEXT_MAKE
    # Recording a report is itself a change, so the newest one is one revision behind the case.
    is_current = case.reports[-1].case_revision + 1 == case.revision
    return report_text.REPORT_NEXT_DOWNLOAD if is_current else report_text.REPORT_NEXT_AGAIN


def _missing(opened: OpenCase) -> None:
    unsaved = sum(1 for one in opened.case.open_findings if state.draft_of(one.id))
    sentences = missing_sentences(
        opened.case,
        opened.assessment,
        services().safing.status(opened.case),
        unsaved=unsaved,
    )
    st.header(report_text.MISSING, anchor=False)
    items = "".join(f"<li>{escape(sentence)}</li>" for sentence in sentences)
    st.html(f'<ul class="ub-list">{items}</ul>')
    st.caption(report_text.MISSING_MEANS)


def _other_files(case: Case) -> None:
    st.header(report_text.OTHER_FILES, anchor=False)
    links = (
        (FINDINGS_FILE, report_text.FINDINGS_AS_CSV),
        (MARKS_FILE, report_text.MARKS_AS_ANNOTATIONS),
    )
    st.html(
        '<p class="ub-files">'
        + " ".join(_button(list_link(case.id, file), file, label) for file, label in links)
        + "</p>"
    )
    st.caption(report_text.OTHER_FILES_MEAN)


def _button(link: str, file_name: str, label: str) -> str:
    return (
        f'<a class="ub-button" href="{escape(link)}" target="_self" '
        f'download="{escape(file_name)}">{escape(label)}</a>'
    )


def _make(case: Case, *, is_release: bool = False) -> None:
    bar = st.progress(0.0)

    def show_progress(done: int, total: int) -> None:
        bar.progress(done / total if total else 1.0, report_text.report_progress(done, total))

    try:
        reporting, render = services().reporting, wiring().render_report
        if is_release:
            issued = reporting.release(
                case.id,
                expected_revision=case.revision,
                by=operator(),
                render=render,
                progress=show_progress,
            )
        else:
            issued = reporting.issue(case.id, by=operator(), render=render, progress=show_progress)
    except TriageError as error:
        st.error(as_typed(str(error)))
        return
    state.notify(report_text.report_made(issued.report.file_name))
    st.rerun()


def _release(case: Case) -> None:
    """Offer the release once nothing stands in its way; until then list what does."""
    blockers = services().reporting.blockers(case)
    if blockers:
        _blocked(blockers)
        return
    st.markdown(review_text.RELEASE_MEANS)
    if not may(operator().roles, Action.RELEASE):
        st.caption(review_text.RELEASE_FOR)
        return
    if st.button(review_text.RELEASE, key="release"):
        _make(case, is_release=True)


def _blocked(blockers: tuple[Blocker, ...]) -> None:
    """Show what keeps it a draft, part by part with the way there; every single thing unfolds."""
    st.header(review_text.BLOCKED, anchor=False)
    for kind, place in _WHERE.items():
        held = [one.what for one in blockers if one.kind is kind]
        if held:
            with st.container(horizontal=True, vertical_alignment="center", gap="small"):
                st.markdown(f"**{kind}** · {as_typed(review_text.blocked(held))}", width="stretch")
                st.page_link(navigation.page(place))
    if len(blockers) > len(_WHERE):
        rows = "".join(f"<li><b>{one.kind}:</b> {escape(one.what)}</li>" for one in blockers)
        with st.expander(f"{review_text.BLOCKED_ALL} ({len(blockers)})"):
            st.html(f'<ul class="ub-list">{rows}</ul>')


def _issued(case: Case) -> None:
    st.header(report_text.ISSUED_REPORTS, anchor=False)
    if not case.reports:
        st.info(report_text.NO_REPORTS)
        return
    newest_first = list(reversed(case.reports))
    rows = [_row(case, report, is_newest=at == 0) for at, report in enumerate(newest_first)]
    st.html(f'<div class="ub-reports">{"".join(rows)}</div>')


def _row(case: Case, report: IssuedReport, *, is_newest: bool) -> str:
    line = report_text.report_line(
        shown_time(report.issued.at), report.issued.by, report.case_revision
    )
    released = (
        f'<span class="ub-chip">{escape(review_text.RELEASED)}</span>' if report.release else ""
    )
    newest = f'<span class="ub-chip">{escape(report_text.NEWEST)}</span>' if is_newest else ""
    links = _button(report_link(case.id, report.sha256), report.file_name, report_text.DOWNLOAD)
    if pdf_is_possible():
        pdf = report.file_name.removesuffix(".docx") + ".pdf"
        links += " " + _button(pdf_link(case.id, report.sha256), pdf, report_text.AS_PDF)
    return (
        f"<section><p><b>{escape(report.file_name)}</b> {newest} {released}<br>{escape(line)}<br>"
        f"<code>SHA-256 {escape(report.sha256)}</code></p>"
        f'<span class="ub-files">{links}</span></section>'
    )
