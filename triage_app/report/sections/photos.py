"""Photos without a mark, and the log of all photos with their hashes."""

from triage_app.domain.case import Photo
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, cell, heading, intro, words
from triage_app.report.figures import in_one_line, whole_photo
from triage_app.report.model import Block, Cell, Figure, Table
from triage_app.report.subject import Subject

_IN_A_LINE = 3
_TALLEST_MM = 55.0
_MOST_SHOWN = 60


def unmarked(subject: Subject, numbering: Numbering) -> list[Block]:
    """Small pictures of the photos that no finding refers to."""
    if not subject.case.photos:
        return []
    title = heading(1, "Photos without a mark", "unmarked")
    found = [photo for photo in subject.case.photos if not subject.case.marks_on(photo.id)]
    if not found:
        return [title, words(texts.UNMARKED_NONE)]
    made: list[Block] = [title, intro(texts.UNMARKED_INTRO)]
    made += [
        _line(subject, found[start : start + _IN_A_LINE], numbering)
        for start in range(0, min(len(found), _MOST_SHOWN), _IN_A_LINE)
    ]
    if len(found) > _MOST_SHOWN:
        made.append(words(texts.UNMARKED_MORE))
    return made


def _line(subject: Subject, photos: list[Photo], numbering: Numbering) -> Figure:
    shown = in_one_line(
        [
            whole_photo(
                photo,
                name=f"photo-{subject.photo_names[photo.id]}",
                alt=f"{labels.photo_title(photo, subject.photo_names)}, whole, without a mark.",
            )
            for photo in photos
        ],
        width_mm=subject.layout.text_width_mm * len(photos) / _IN_A_LINE,
        tallest_mm=_TALLEST_MM,
    )
    which = labels.listed(subject.photo_names[photo.id] for photo in photos)
    one = "Photo" if len(photos) == 1 else "Photos"
    return Figure(
        pictures=shown, caption=numbering.next("Figure", f"{one} {which}, without a mark.")
    )


def log(subject: Subject, numbering: Numbering) -> list[Block]:
    """Every photo with the hash of its original."""
    title = heading(1, "Photo log", "photo_log")
    if not subject.case.photos:
        return [title, words(texts.PHOTO_LOG_NONE)]
    return [
        title,
        intro(texts.PHOTO_LOG_INTRO),
        Table(
            title="Photo log",
            header=("Photo", "File", "Taken", "Size", "SHA-256", "Quality"),
            rows=tuple(_log_row(subject, photo) for photo in subject.case.photos_by_time),
            width_fracs=(0.085, 0.185, 0.13, 0.13, 0.28, 0.19),
            caption=numbering.next(
                "Table", "All photos of the case with the hashes of the originals."
            ),
        ),
    ]


def _taken(subject: Subject, photo: Photo) -> str:
    """Return the camera's time, and the real one where somebody compared that camera's clock."""
    shown = labels.camera_time(photo.taken_at)
    really = subject.case.really_taken_at(photo)
    if photo.taken_at is None:
        return shown
    if really is None:
        return f"{shown} (camera clock, not compared)"
    return f"{really:%Y-%m-%d %H:%M:%S} UTC (camera clock: {shown})"


def _log_row(subject: Subject, photo: Photo) -> tuple[Cell, ...]:
    size = f"{photo.width_px} by {photo.height_px} px, {photo.byte_count / 1000:,.0f} kB"
    return (
        cell(subject.photo_names[photo.id], strong=True),
        cell(labels.shown_name(photo.file_name)),
        cell(_taken(subject, photo)),
        cell(size),
        cell(photo.sha256),
        cell(" ".join(photo.quality.complaints) or texts.NO_COMPLAINT),
    )
