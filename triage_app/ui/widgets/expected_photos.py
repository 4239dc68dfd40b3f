"""The photos that an insurer expects: which of the case's show them, or why there is none."""

from collections.abc import Sequence

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.ids import PhotoId
from triage_app.domain.inspection.checklist import PhotoStanding
from triage_app.ui import gate_text as words
from triage_app.ui import state
from triage_app.ui.markdown import as_typed
from triage_app.ui.widgets.notices import saying_refusals
from triage_app.ui.wiring import operator, services


def expected_photos(case: Case, listed: Sequence[PhotoStanding]) -> None:
    """Ask for each expected photo; only what was changed is put on record."""
    settled = sum(one.is_settled for one in listed)
    with st.expander(f"{words.EXPECTED} ({settled}/{len(listed)})"):
        with st.form(f"expected-{case.id}-{len(case.inspection)}", border=False):
            entered = [_ask(case, one) for one in listed]
            wanted = st.form_submit_button(words.EXPECTED_SAVE, type="primary")
        if wanted:
            with saying_refusals():
                _store(case, listed, entered)


def _ask(case: Case, one: PhotoStanding) -> tuple[tuple[PhotoId, ...], str]:
    names = {
        photo.id: f"{number}. {photo.file_name}" for number, photo in enumerate(case.photos, 1)
    }
    left, right = st.columns(2, vertical_alignment="bottom")
    chosen = left.multiselect(
        f"{words.EXPECTED_SHOWN}: {one.expected}",
        list(names),
        default=[each for each in one.photo_ids if each in names],
        format_func=lambda each: as_typed(names[each]),
    )
    reason = right.text_input(f"{words.EXPECTED_WHY} ({one.expected})", one.reason)
    return tuple(chosen), reason.strip()


def _store(
    case: Case,
    listed: Sequence[PhotoStanding],
    entered: Sequence[tuple[tuple[PhotoId, ...], str]],
) -> None:
    for one, (photo_ids, reason) in zip(listed, entered, strict=True):
        if (photo_ids, reason) != (one.photo_ids, one.reason):
            services().inspection.point_at(
                case.id, one.expected, photo_ids=photo_ids, reason=reason, by=operator()
            )
    state.notify(words.SAVED)
    st.rerun()
