"""Many files at once, progress, and each file's own answer."""

from collections import Counter
from html import escape

import streamlit as st

from triage_app.domain.case import Case
from triage_app.domain.errors import TriageError
from triage_app.services.intake import PhotoAnswer, PhotoOutcome
from triage_app.ui import state, text, words
from triage_app.ui.markdown import as_typed
from triage_app.ui.wiring import operator, services


def photo_upload(case: Case) -> None:
    """Take files of any ending, since their bytes decide, and store them at once."""
    st.caption(text.UPLOAD_HINT)
    given = st.file_uploader(
        text.UPLOAD,
        accept_multiple_files=True,
        key=f"upload-{case.id}-{state.upload_round()}",
    )
    if given:
        _store(case, [(file.name, file.getvalue()) for file in given])
    outcomes_list(state.outcomes())


def _store(case: Case, given: list[tuple[str, bytes]]) -> None:
    bar = st.progress(0.0, text.storing(1, len(given)))

    def show_progress(done: int, total: int) -> None:
        bar.progress(done / total, text.storing(min(done + 1, total), total))

    try:
        kept = services().intake.add_photos(case.id, given, by=operator(), progress=show_progress)
    except TriageError as error:
        st.error(as_typed(str(error)))
        return
    state.keep_outcomes(kept)
    st.rerun()


def outcomes_list(outcomes: list[PhotoOutcome]) -> None:
    """Show what became of each file of the last upload."""
    if not outcomes:
        return
    count = Counter(outcome.answer for outcome in outcomes)
    summary = text.stored_summary(
        count[PhotoAnswer.ACCEPTED], count[PhotoAnswer.DUPLICATE], count[PhotoAnswer.REFUSED]
    )
    rows = "".join(_row(outcome) for outcome in outcomes)
    st.html(
        f'<div class="ub-outcomes" role="status"><p><b>{escape(summary)}</b></p>'
        f"<ul>{rows}</ul></div>"
    )


def _row(outcome: PhotoOutcome) -> str:
    complaints = outcome.photo.quality.complaints if outcome.photo else ()
    said = " ".join(part for part in (outcome.reason, *complaints) if part)
    return (
        f'<li class="ub-{outcome.answer.value}"><b>{escape(words.PHOTO_ANSWERS[outcome.answer])}'
        f"</b> {escape(outcome.file_name)} {escape(said)}</li>"
    )
