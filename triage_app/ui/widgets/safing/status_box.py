"""Where the record stands, loudly: never a bare word, always what is not covered."""

from html import escape

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.safing.entries import Happened, Happening, PointReading, SafingEntry
from triage_app.domain.safing.photo_times import NONE_DURING, photos_without_time
from triage_app.domain.safing.sources import BASES
from triage_app.domain.safing.state import BATTERY_REMAINS, SafingState, SafingStatus
from triage_app.domain.safing.voids import VoidCause
from triage_app.ui import safing_text as words
from triage_app.ui.widgets.risk_badge import hv_sign_html
from triage_app.ui.widgets.safing.storing import store_entry
from triage_app.ui.wiring import services

# Here the hazard is there now, measured or seen; anywhere else it could be.
_CERTAIN = frozenset({VoidCause.VOLTAGE_FOUND, VoidCause.VOLTAGE_RISING, VoidCause.SIGN_SEEN})


def status_box(case: Case, status: SafingStatus) -> None:
    """Draw state, reasons and cautions; a void record offers to begin again."""
    st.html(_box(status))
    if status.state is SafingState.VOID and st.button(
        words.BEGIN_AGAIN, type="primary", key="safe-begin-again"
    ):
        store_entry(case, Happened(what=Happening.BEGIN_AGAIN), done=words.BEGUN_AGAIN)


def _box(status: SafingStatus) -> str:
    body = {
        SafingState.NOT_RECORDED: _not_recorded,
        SafingState.RECORDED: _recorded,
        SafingState.VOID: _void,
    }[status.state](status)
    name = status.state.name.lower().replace("_", "-")
    return (
        f'<section class="ub-safing ub-safing-{name}" role="status">'
        f"<h3>{hv_sign_html(size_px=40)} {escape(words.TITLE_STATE[status.state])}</h3>{body}"
        f"<p>{_signal(status)} {escape(words.MAKER_FIRST)} "
        f"<b>{BATTERY_REMAINS}</b></p></section>"
    )


def _signal(status: SafingStatus) -> str:
    """Return the signal word: DANGER where harm is certain unless avoided (ANSI Z535.4)."""
    if any(void.cause in _CERTAIN for void in status.voids):
        return f'<b class="ub-word-danger">{words.DANGER}</b>'
    return f'<b class="ub-word-warning">{words.WARNING}</b>'


def _not_recorded(status: SafingStatus) -> str:
    missing = (f"{each.what}: {each.why}" for each in status.missing)
    return (
        f"<p><b>{words.ALL_LIVE}</b></p><details><summary>"
        f"{words.still_missing(len(status.missing))}</summary>{_lines(missing, tag='ol')}"
        f"{_not_covered(status)}</details>"
    )


def _not_covered(status: SafingStatus) -> str:
    return (
        f"<p><b>{words.NOT_COVERED}</b> {escape('; '.join(status.not_covered))}.</p>"
        f"{_lines(status.remarks)}<p>{escape(words.CHEMICALS)}</p>"
    )


def _recorded(status: SafingStatus) -> str:
    return (
        f"<p><b>{escape('; '.join(status.covered))}</b></p>"
        f"<p>{escape(words.recorded_sentence(status))}</p>{_not_covered(status)}"
    )


def _void(status: SafingStatus) -> str:
    parts = [f"<p><b>{words.ALL_LIVE}</b></p>"]
    for void in status.voids:
        when = f" ({words.moment(void.at)})" if void.at else ""
        sentence = void.sentence[0].upper() + void.sentence[1:]
        parts.append(
            f"<p><b>{escape(sentence)}{when}.</b><br><b>{words.DO_NOW}:</b> "
            f"{escape(void.cause.do_now)}</p>"
        )
    return "".join((*parts, _not_covered(status)))


def _lines(lines: object, *, tag: str = "ul") -> str:
    items = "".join(f"<li>{escape(str(line))}</li>" for line in lines)  # type: ignore[attr-defined]  # any iterable of lines
    return f'<{tag} class="ub-list">{items}</{tag}>' if items else ""


def bases() -> None:
    """Offer to unfold where steps and figures are from, each with how far it was checked."""
    with st.expander(words.BASES_TITLE):
        st.html(f"<p>{words.BASES_INTRO}</p>{_lines(basis.cited for basis in BASES)}")


def points_html(status: SafingStatus) -> str:
    """Return the test points with both readings as a table."""
    rows = "".join(
        f"<tr><td>{escape(read.point.name)}<br><span class='ub-quiet'>{escape(read.point.because)}"
        f"</span></td><td>{_volts(read.first)}</td><td>{_volts(read.second)}</td></tr>"
        for read in status.points
    )
    heads = "".join(f"<th>{escape(head)}</th>" for head in words.POINT_COLUMNS)
    return f'<table class="ub-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _volts(entry: SafingEntry | None) -> str:
    if entry is None or not isinstance(entry.what, PointReading):
        return f"<b>{words.UNREAD}</b>"
    said = f"{words.volts(entry.what)}, {entry.done_at:%H:%M:%S}"
    return escape(said)


def photos_before(case: Case, status: SafingStatus) -> None:
    """Point out photos of findings that were taken before the record stood; all once void."""
    if status.state is SafingState.VOID and any(case.marks_on(each.id) for each in case.photos):
        st.warning(NONE_DURING)
    if status.counts_since is None:
        return
    names = [photo.file_name for photo in services().safing.photos_before(case)]
    if names:
        st.warning(f"{words.PHOTOS_BEFORE}: {', '.join(names)}.")
    untimed = photos_without_time(case)
    if untimed:
        st.caption(f"{len(untimed)} {words.PHOTOS_UNTIMED}")
