"""Photos against the record: one that was taken before the record stood is pointed out."""

from datetime import datetime

from triage_app.domain.case import Case, Photo

NONE_DURING = (
    "The make-safe record is void: no photo of a finding counts as taken while one stood, whatever "
    "its time."
)


def photos_before(case: Case, stands_since: datetime | None) -> tuple[Photo, ...]:
    """Return the photos with an open finding that were taken before the record stood.

    Only photos whose real time is known (the camera's clock was compared) can be told; see
    ``photos_without_time`` for the others. Without a record that stands (none, or void; see
    ``SafingStatus.counts_since``) no photo was taken after one: all.
    """
    return tuple(
        photo
        for photo in case.photos
        if case.marks_on(photo.id)
        and (at := case.really_taken_at(photo)) is not None
        and (stands_since is None or at < stands_since)
    )


def photos_without_time(case: Case) -> tuple[Photo, ...]:
    """Return the photos with an open finding of which nobody can tell when they were taken."""
    return tuple(
        photo
        for photo in case.photos
        if case.marks_on(photo.id) and case.really_taken_at(photo) is None
    )
