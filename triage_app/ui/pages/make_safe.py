"""Making safe, kept by the second person on a tablet while the reader keeps the gloves on."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import SafingEntry, StepDone
from triage_app.domain.safing.state import SafingState, SafingStatus
from triage_app.domain.safing.told import particulars
from triage_app.ui import safing_text as words
from triage_app.ui import text
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.case_frame import open_case
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.widgets.safing.event_buttons import event_buttons
from triage_app.ui.widgets.safing.isolation_form import isolation_panel
from triage_app.ui.widgets.safing.layout_form import layout_form
from triage_app.ui.widgets.safing.reading_form import reading_form
from triage_app.ui.widgets.safing.status_box import photos_before, points_html, status_box
from triage_app.ui.widgets.safing.step_form import step_form
from triage_app.ui.widgets.safing.watch_panel import watch_panel
from triage_app.ui.wiring import services

_NEXT = {
    SafingState.NOT_RECORDED: words.NEXT_STEP,
    SafingState.RECORDED: words.NEXT_RECORDED,
    SafingState.VOID: words.NEXT_AGAIN,
}


def show() -> None:
    case = open_case().case
    status = services().safing.status(case)
    show_notices()
    st.title(text.PAGE_SAFE, anchor=False)
    is_recorded = status.state is SafingState.RECORDED
    next_step(_NEXT[status.state], go_to=Place.MARK if is_recorded else None)
    status_box(case, status)
    photos_before(case, status)
    record, event, watch, isolation, layout = st.tabs(
        [words.TAB_RECORD, words.TAB_EVENT, words.TAB_WATCH, words.TAB_ISOLATION, words.TAB_POINTS]
    )
    with record:
        _what_is_due(case, status)
        _done_so_far(status)
    with event:
        event_buttons(case)
    with watch:
        watch_panel(case)
    with isolation:
        isolation_panel(case)
    with layout:
        st.html(points_html(status))
        layout_form(case)


def _what_is_due(case: Case, status: SafingStatus) -> None:
    if status.next_step is not None:
        step_form(case, status, status.next_step)
    elif status.next_reading is not None:
        point, turn = status.next_reading
        left = sum((read.first is None) + (read.second is None) for read in status.points)
        reading_form(case, point, turn, left=left)


def _done_so_far(status: SafingStatus) -> None:
    if not status.done:
        return
    rows = "".join(_row(entry) for entry in status.done)
    heads = "".join(f"<th>{escape(head)}</th>" for head in words.STEP_COLUMNS)
    with st.expander(f"{words.DONE_STEPS} ({len(status.done)})"):
        st.html(
            f'<table class="ub-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'
        )


def _row(entry: SafingEntry) -> str:
    done = entry.what
    if not isinstance(done, StepDone):
        return ""
    cells = (
        done.step.value,
        f"{entry.done_at:%H:%M:%S}",
        entry.recorded.by,
        particulars(done, entry.note),
    )
    return f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in cells)}</tr>"
