"""Pictures asked for in a report -> files, each photo read and decoded once.

Photos are worked on in parallel, one worker per core; a worker holds one decoded photo at a time,
so memory does not grow with the number of photos.
"""

import os
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from triage_app.domain.case import Photo
from triage_app.domain.errors import PhotoRejectedError
from triage_app.domain.ids import Sha256
from triage_app.imaging.annotate import View, draw
from triage_app.imaging.decode import decode
from triage_app.report.model import PhotoPicture, Picture, SignPicture
from triage_app.report.signs import sign_png

LoadPhoto = Callable[[Sha256], bytes]
Progress = Callable[[int, int], None]

# A report has to fit into an e-mail: 10 MB in all, of which the words take little.
_BUDGET_BYTES = 9_000_000
# From print quality downwards; the first that fits the budget is taken.
_PX_PER_MM_STEPS = (12.0, 10.0, 8.5, 7.0, 6.0, 5.0)
# What a JPEG of a grimy underside takes at the quality below, measured on such photos.
_BYTES_PER_PX = 0.3
_QUALITIES = (85, 75, 65, 50, 35)
_WORKERS = max(1, min(4, os.cpu_count() or 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFile:
    """A finished picture, without any metadata."""

    data: bytes
    media_type: str


def picture_files(
    pictures: Iterable[Picture], load_photo: LoadPhoto, progress: Progress
) -> dict[str, PictureFile]:
    """Return the files by picture name; ``progress`` gets photos done and in all.

    Raises PhotoRejectedError, naming the photo, when a stored original cannot be read any more.
    """
    wanted = list(pictures)
    files = {
        picture.name: PictureFile(data=sign_png(picture), media_type="image/png")
        for picture in wanted
        if isinstance(picture, SignPicture)
    }
    views = [picture for picture in wanted if isinstance(picture, PhotoPicture)]
    work = _Work(views=views, load_photo=load_photo)
    by_photo = _by_photo(views)
    progress(0, len(by_photo))
    with ThreadPoolExecutor(_WORKERS) as pool:
        jobs: list[Future[dict[str, PictureFile]]] = [
            pool.submit(work.of_one_photo, group) for group in by_photo
        ]
        try:
            for done, job in enumerate(as_completed(jobs), start=1):
                files.update(job.result())
                progress(done, len(jobs))
        finally:
            for job in jobs:
                job.cancel()
    return files


def _by_photo(views: list[PhotoPicture]) -> list[list[PhotoPicture]]:
    groups: dict[str, list[PhotoPicture]] = {}
    for view in views:
        groups.setdefault(view.photo.sha256, []).append(view)
    return list(groups.values())


class _Work:
    """What every worker needs to know: the resolution, and how many bytes a picture may take."""

    def __init__(self, *, views: list[PhotoPicture], load_photo: LoadPhoto) -> None:
        self._load_photo = load_photo
        area_mm2 = sum(view.width_mm * view.height_mm for view in views)
        self._px_per_mm = _resolution(area_mm2)
        self._bytes_per_mm2 = _BUDGET_BYTES / max(area_mm2, 1.0)

    def of_one_photo(self, group: list[PhotoPicture]) -> dict[str, PictureFile]:
        photo = group[0].photo
        at_least_px = max(self._photo_side_px(view) for view in group)
        try:
            pixels = decode(self._load_photo(photo.sha256), at_least_px=at_least_px).pixels
        except PhotoRejectedError as error:
            raise PhotoRejectedError(
                f"The stored photo {photo.file_name} can no longer be read, so the report was "
                f"not made. {error}"
            ) from error
        return {view.name: self._picture_file(pixels, view) for view in group}

    def _photo_side_px(self, view: PhotoPicture) -> int:
        """Return how long the whole photo's longer side must be to give this view its pixels."""
        photo, crop = view.photo, view.crop
        per_photo_px = view.width_mm * self._px_per_mm / ((crop.right - crop.left) * photo.width_px)
        return round(max(photo.width_px, photo.height_px) * min(1.0, per_photo_px))

    def _picture_file(self, pixels: Image.Image, view: PhotoPicture) -> PictureFile:
        drawn = draw(pixels, view.marks, _view(view.photo, view, self._px_per_mm))
        limit = round(self._bytes_per_mm2 * view.width_mm * view.height_mm)
        return PictureFile(data=_jpeg(drawn, limit), media_type="image/jpeg")


def _resolution(area_mm2: float) -> float:
    for px_per_mm in _PX_PER_MM_STEPS:
        if area_mm2 * px_per_mm**2 * _BYTES_PER_PX <= _BUDGET_BYTES:
            return px_per_mm
    return _PX_PER_MM_STEPS[-1]


def _view(photo: Photo, picture: PhotoPicture, px_per_mm: float) -> View:
    return View(
        photo_width_px=photo.width_px,
        photo_height_px=photo.height_px,
        crop=picture.crop,
        width_px=max(1, round(picture.width_mm * px_per_mm)),
        height_px=max(1, round(picture.height_mm * px_per_mm)),
        px_per_mm=px_per_mm,
    )


def _jpeg(picture: Image.Image, limit_bytes: int) -> bytes:
    """Return a JPEG of at most ``limit_bytes``, or the smallest that quality alone allows."""
    picture.info.clear()
    data = b""
    for quality in _QUALITIES:
        out = BytesIO()
        picture.save(out, "JPEG", quality=quality)
        data = out.getvalue()
        if len(data) <= limit_bytes:
            break
    return data
