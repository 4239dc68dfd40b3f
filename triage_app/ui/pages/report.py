"""What is missing, make the Word report, and fetch it."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case, IssuedReport
from triage_app.domain.errors import TriageError
from triage_app.ui import report_text, state, text
from triage_app.ui.markdown import as_typed
from triage_app.ui.missing import missing_sentences
from triage_app.ui.names import shown_time
from triage_app.ui.picture_links import report_link
from triage_app.ui.widgets.case_frame import OpenCase, open_case
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.wiring import operator, services, wiring


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
    _issued(case)
    _missing(opened)


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


def _make(case: Case) -> None:
    bar = st.progress(0.0)

    def show_progress(done: int, total: int) -> None:
        bar.progress(done / total if total else 1.0, report_text.report_progress(done, total))

    try:
        issued = services().reporting.issue(
            case.id, by=operator(), render=wiring().render_report, progress=show_progress
        )
    except TriageError as error:
        st.error(as_typed(str(error)))
        return
    state.notify(report_text.report_made(issued.report.file_name))
    st.rerun()


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
    newest = f'<span class="ub-chip">{escape(report_text.NEWEST)}</span>' if is_newest else ""
    return (
        f"<section><p><b>{escape(report.file_name)}</b> {newest}<br>{escape(line)}<br>"
        f"<code>SHA-256 {escape(report.sha256)}</code></p>"
        f'<a class="ub-button" href="{escape(report_link(case.id, report.sha256))}" '
        f'target="_self" download="{escape(report.file_name)}">{escape(report_text.DOWNLOAD)}</a>'
        "</section>"
    )
