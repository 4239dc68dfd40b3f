"""Which photo should be taken again, and why; said while that still costs a minute."""

import streamlit as st

from triage_app.domain.case import Case, Finding, Photo
from triage_app.domain.errors import TriageError
from triage_app.ui import photo_text
from triage_app.ui.markdown import as_typed
from triage_app.ui.wiring import services


def retake_photo(photo: Photo) -> None:
    """Say what is wrong with a whole photo; nothing where it is good."""
    if photo.quality.complaints:
        _say(photo_text.RETAKE, photo.quality.complaints)


def retake_at_marks(case: Case, finding: Finding) -> None:
    """Say where the damage itself is not to be seen well, photo by photo.

    Once one photo shows it well, the others need not be taken again.
    """
    if not finding.marks:
        return
    complaints = {}
    for mark in finding.marks:
        try:
            said = services().photo_views.quality_of(case, mark).complaints
        except TriageError:
            return  # a lost file is told where its picture should be
        if not said:
            return
        complaints[mark.photo_id] = said
    numbers = {photo.id: number for number, photo in enumerate(case.photos, start=1)}
    for photo_id, said in complaints.items():
        _say(photo_text.retake_at_mark(numbers[photo_id]), said)


def _say(what: str, complaints: tuple[str, ...]) -> None:
    st.warning(f"**{what}** {as_typed(' '.join(complaints))}")
