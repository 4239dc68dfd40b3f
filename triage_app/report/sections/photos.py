"""Photos without a mark, and the log of all photos with their hashes."""

from triage_app.domain.case import Photo
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, cell, heading, intro, words
from triage_app.report.figures import in_one_line, whole_photo
from triage_app.report.model import Block, Cell, Figure, Table
from triage_app.report.plain_text import one_line
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
    shown = found[:_MOST_SHOWN]
    made: list[Block] = [title]
    for says_nothing_found, said in ((True, texts.NOTHING_FOUND), (False, texts.UNMARKED_INTRO)):
        here = [one for one in shown if (one.nothing_found is not None) is says_nothing_found]
        if here:
            made.append(intro(said))
        made += [
            _line(subject, here[start : start + _IN_A_LINE], numbering)
            for start in range(0, len(here), _IN_A_LINE)
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
                alt=f"Whole photo {_without_mark(subject, photo)}.",
            )
            for photo in photos
        ],
        width_mm=subject.layout.text_width_mm * len(photos) / _IN_A_LINE,
        tallest_mm=_TALLEST_MM,
    )
    which = "; ".join(f"photo {_without_mark(subject, photo)}" for photo in photos)
    caption = numbering.next("Figure", f"{which[0].upper()}{which[1:]}.")
    return Figure(pictures=shown, caption=caption)


def _without_mark(subject: Subject, photo: Photo) -> str:
    name, signed = subject.photo_names[photo.id], photo.nothing_found
    if signed is None:
        return f"{name}, without a mark"
    return f"{name}, no damage seen by {one_line(signed.by)}, {labels.moment(signed.at)}"


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
            width_fracs=(0.08, 0.19, 0.16, 0.12, 0.31, 0.14),
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
        return shown
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
