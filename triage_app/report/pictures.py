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

from triage_app.domain.errors import PhotoRejectedError
from triage_app.domain.ids import Sha256
from triage_app.imaging.annotate import View, draw
from triage_app.imaging.decode import decode
from triage_app.imaging.temperature_plot import temperature_plot
from triage_app.imaging.underside import underside_png
from triage_app.report.model import PhotoPicture, Picture, PlanPicture, PlotPicture, SignPicture
from triage_app.report.signs import sign_png

LoadPhoto = Callable[[Sha256], bytes]
Progress = Callable[[int, int], None]

# A report has to fit into an e-mail: 10 MB in all, of which the words take little.
_BUDGET_BYTES = 9_000_000
# From print quality downwards; the first that fits the budget is taken.
_PX_PER_MM_STEPS = (12.0, 10.0, 8.5, 7.0, 6.0, 5.0)
# What a JPEG of a grimy underside takes at the quality below, measured on such photos.
_BYTES_PER_PX = 0.3
# A few lines on white: small as PNG, so that print quality costs nothing.
_PLOT_PX_PER_MM = 10
QUALITIES = (85, 75, 65, 50, 35)
WORKERS = max(1, min(4, os.cpu_count() or 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFile:
    """A finished picture, without any metadata."""

    data: bytes
    media_type: str


def picture_files(
    pictures: Iterable[Picture], load_photo: LoadPhoto, progress: Progress
) -> dict[str, PictureFile]:
    """Return the files by picture name.

    ``progress`` gets photos done and in all; it is not called when there is no photo.
    Raises PhotoRejectedError, naming the photo, when a stored original cannot be read any more.
    """
    wanted = list(pictures)
    files = sign_files(wanted) | _plot_files(wanted) | _plan_files(wanted)
    views = [picture for picture in wanted if isinstance(picture, PhotoPicture)]
    groups, scale = by_photo(views), Scale.of(views)
    if groups:
        progress(0, len(groups))
    with ThreadPoolExecutor(WORKERS) as pool:
        jobs: list[Future[dict[str, PictureFile]]] = [
            pool.submit(_files_of_one_photo, group, load_photo, scale) for group in groups
        ]
        try:
            for done, job in enumerate(as_completed(jobs), start=1):
                files.update(job.result())
                progress(done, len(jobs))
        finally:
            for job in jobs:
                job.cancel()
    return files


def sign_files(pictures: Iterable[Picture]) -> dict[str, PictureFile]:
    """Return the files of the drawn signs among the pictures, by picture name."""
    return {
        picture.name: PictureFile(data=sign_png(picture), media_type="image/png")
        for picture in pictures
        if isinstance(picture, SignPicture)
    }


def _plot_files(pictures: Iterable[Picture]) -> dict[str, PictureFile]:
    return {
        picture.name: PictureFile(
            data=temperature_plot(
                picture.watch,
                width_px=round(picture.width_mm * _PLOT_PX_PER_MM),
                height_px=round(picture.height_mm * _PLOT_PX_PER_MM),
            ),
            media_type="image/png",
        )
        for picture in pictures
        if isinstance(picture, PlotPicture)
    }


def _plan_files(pictures: Iterable[Picture]) -> dict[str, PictureFile]:
    return {
        picture.name: PictureFile(
            data=underside_png(
                picture.tags,
                height_px=round(picture.height_mm * _PLOT_PX_PER_MM),
                emphasised=picture.emphasised,
                tag_scale=picture.tag_scale,
                line=picture.line,
            ),
            media_type="image/png",
        )
        for picture in pictures
        if isinstance(picture, PlanPicture)
    }


def by_photo(views: Iterable[PhotoPicture]) -> list[list[PhotoPicture]]:
    """Return the views of each photo together, in the order of first use."""
    groups: dict[str, list[PhotoPicture]] = {}
    for view in views:
        groups.setdefault(view.photo.sha256, []).append(view)
    return list(groups.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How many pixels and how many bytes a picture may have, so that all of them fit."""

    px_per_mm: float
    bytes_per_mm2: float

    @classmethod
    def of(cls, views: Iterable[PhotoPicture]) -> "Scale":
        """Return the finest step at which all views together fit the budget."""
        area_mm2 = max(1.0, sum(view.width_mm * view.height_mm for view in views))
        fitting = [
            px_per_mm
            for px_per_mm in _PX_PER_MM_STEPS
            if area_mm2 * px_per_mm**2 * _BYTES_PER_PX <= _BUDGET_BYTES
        ]
        return cls(
            px_per_mm=max(fitting, default=min(_PX_PER_MM_STEPS)),
            bytes_per_mm2=_BUDGET_BYTES / area_mm2,
        )

    def picture_px(self, view: PhotoPicture) -> tuple[int, int]:
        """Return the width and height of a finished picture."""
        return (
            max(1, round(view.width_mm * self.px_per_mm)),
            max(1, round(view.height_mm * self.px_per_mm)),
        )

    def photo_side_px(self, view: PhotoPicture) -> int:
        """Return how long the whole photo's longer side must be to give this view its pixels."""
        photo, crop = view.photo, view.crop
        cropped_px = (crop.right - crop.left) * photo.width_px
        share = min(1.0, view.width_mm * self.px_per_mm / cropped_px)
        return round(max(photo.width_px, photo.height_px) * share)

    def limit_bytes(self, view: PhotoPicture) -> int:
        return round(self.bytes_per_mm2 * view.width_mm * view.height_mm)


def _files_of_one_photo(
    group: list[PhotoPicture], load_photo: LoadPhoto, scale: Scale
) -> dict[str, PictureFile]:
    photo = group[0].photo
    at_least_px = max(scale.photo_side_px(view) for view in group)
    try:
        pixels = decode(load_photo(photo.sha256), at_least_px=at_least_px).pixels
    except PhotoRejectedError as error:
        raise PhotoRejectedError(
            f"The stored photo {photo.file_name} can no longer be read, so the report was not "
            f"made. {error}"
        ) from error
    return {view.name: _file(pixels, view, scale) for view in group}


def _file(pixels: Image.Image, picture: PhotoPicture, scale: Scale) -> PictureFile:
    width_px, height_px = scale.picture_px(picture)
    view = View(
        photo_width_px=picture.photo.width_px,
        photo_height_px=picture.photo.height_px,
        crop=picture.crop,
        width_px=width_px,
        height_px=height_px,
        px_per_mm=scale.px_per_mm,
    )
    drawn = draw(pixels, picture.marks, view)
    return PictureFile(data=_jpeg(drawn, scale.limit_bytes(picture)), media_type="image/jpeg")


def _jpeg(picture: Image.Image, limit_bytes: int) -> bytes:
    """Return a JPEG of at most ``limit_bytes``, or the smallest that quality alone allows."""
    picture.info.clear()
    data = b""
    for quality in QUALITIES:
        out = BytesIO()
        picture.save(out, "JPEG", quality=quality)
        data = out.getvalue()
        if len(data) <= limit_bytes:
            break
    return data
