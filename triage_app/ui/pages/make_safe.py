"""Making safe, kept by the second person on a tablet while the reader keeps the gloves on."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import Happened, Happening, SafingEntry, StepDone
from triage_app.domain.safing.state import SafingState, SafingStatus
from triage_app.domain.safing.steps import StepGroup
from triage_app.domain.safing.told import entry_name, particulars
from triage_app.ui import gate_text, navigation, text
from triage_app.ui import safing_text as words
from triage_app.ui.navigation import Place
from triage_app.ui.widgets.case_frame import open_case
from triage_app.ui.widgets.notices import next_step, show_notices
from triage_app.ui.widgets.safing.event_buttons import event_buttons
from triage_app.ui.widgets.safing.isolation_form import isolation_panel
from triage_app.ui.widgets.safing.layout_form import layout_form
from triage_app.ui.widgets.safing.reading_form import later_reading, reading_form
from triage_app.ui.widgets.safing.status_box import bases, photos_before, points_html, status_box
from triage_app.ui.widgets.safing.step_form import step_form
from triage_app.ui.widgets.safing.watch_panel import overdue_reading, watch_panel
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
    overdue_reading(case)
    photos_before(case, status)
    record, event, watch, isolation, layout = st.tabs(
        [words.TAB_RECORD, words.TAB_EVENT, words.TAB_WATCH, words.TAB_ISOLATION, words.TAB_POINTS],
        # Held by the program: a notice that comes or goes above must not turn the tab back. A
        # record that is begun again starts at its first tab.
        key=f"safe-tab-{case.id}-{_times_begun_again(case)}",
        on_change="rerun",
    )
    with record:
        _what_is_due(case, status)
        _done_so_far(case, status)
        _left_out(status)
        bases()
    with event:
        event_buttons(case)
    with watch:
        watch_panel(case)
    with isolation:
        isolation_panel(case)
    with layout:
        st.html(points_html(status))
        layout_form(case)


def _times_begun_again(case: Case) -> int:
    return sum(entry.what == Happened(what=Happening.BEGIN_AGAIN) for entry in case.safing)


def _what_is_due(case: Case, status: SafingStatus) -> None:
    is_in_the_area = status.next_step is not None and status.next_step.group is StepGroup.AREA
    if services().admission.status(case).is_held and not is_in_the_area:
        st.error(gate_text.NOT_YET)
        st.page_link(navigation.page(Place.GATE))
    elif status.next_step is not None:
        step_form(case, status, status.next_step)
    elif status.next_reading is not None:
        point, turn = status.next_reading
        left = sum((read.first is None) + (read.second is None) for read in status.points)
        reading_form(case, point, turn, left=left)
    elif status.state is SafingState.RECORDED:
        later_reading(case, [read.point for read in status.points])


def _done_so_far(case: Case, status: SafingStatus) -> None:
    if not status.done:
        return
    rows = "".join(_row(case, entry) for entry in status.done)
    with st.expander(f"{words.DONE_STEPS} ({len(status.done)})"):
        st.html(_table(words.STEP_COLUMNS, rows))


def _left_out(status: SafingStatus) -> None:
    """Show what was entered and does not count, so that nobody takes it for a part of it."""
    if not status.left_out:
        return
    rows = "".join(
        _cells(entry_name(entry.what), f"{entry.done_at:%H:%M:%S}", entry.recorded.by, reason)
        for entry, reason in status.left_out
    )
    with st.expander(f"{words.LEFT_OUT} ({len(status.left_out)})"):
        st.html(_table(words.LEFT_OUT_COLUMNS, rows))


def _row(case: Case, entry: SafingEntry) -> str:
    done = entry.what
    if not isinstance(done, StepDone):
        return ""
    said = particulars(done, entry.note)
    if entry.photo_id is not None:
        photo = f"{words.PHOTO.lower()} {case.photo(entry.photo_id).file_name}"
        said = f"{said}; {photo}" if said else photo
    return _cells(done.step.value, f"{entry.done_at:%H:%M:%S}", entry.recorded.by, said)


def _table(columns: tuple[str, ...], rows: str) -> str:
    heads = "".join(f"<th>{escape(head)}</th>" for head in columns)
    return f'<table class="ub-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _cells(*cells: str) -> str:
    return f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in cells)}</tr>"
