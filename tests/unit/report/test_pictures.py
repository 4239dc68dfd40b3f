"""Pictures are made from each photo once, without what the photo says about its taker."""

import threading
from collections import Counter
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from tests.builders import a_case, a_finding, a_jpeg, a_mark, a_photo
from tests.unit.report.cases import a_jpeg_with_gps, photo_of, workshop
from tests.unit.report.material import a_rulebook, material, photos_from, quiet
from triage_app.domain.errors import NotFoundError, PhotoRejectedError
from triage_app.domain.geometry import Bounds
from triage_app.domain.ids import Sha256
from triage_app.imaging.annotate import WHOLE_PHOTO
from triage_app.report import Layout
from triage_app.report.build import report_from
from triage_app.report.model import PhotoPicture, SignPicture, pictures_of
from triage_app.report.pictures import Scale, picture_files


def _view(
    name: str = "one", *, original: bytes, crop: Bounds = WHOLE_PHOTO, width_mm: float = 80
) -> PhotoPicture:
    with Image.open(BytesIO(original)) as picture:
        width_px, height_px = picture.size
    aspect = (crop.right - crop.left) * width_px / ((crop.bottom - crop.top) * height_px)
    return PhotoPicture(
        name=name,
        photo=photo_of(1, original, width_px, height_px),
        crop=crop,
        marks=(),
        alt="A test picture.",
        width_mm=width_mm,
        height_mm=width_mm / aspect,
    )


def test_each_photo_is_read_once_however_many_pictures_show_it() -> None:
    prepared = workshop()
    report = report_from(prepared.given, a_rulebook(), Layout())
    load, reads = photos_from(*prepared.originals), Counter[str]()

    def counting(sha256: Sha256) -> bytes:
        reads[sha256] += 1
        return load(sha256)

    files = picture_files(pictures_of(report.blocks), counting, quiet)

    assert set(reads.values()) == {1}
    assert len(reads) == 4
    assert {picture.name for picture in pictures_of(report.blocks)} == set(files)


def test_progress_counts_photos_and_is_told_where_the_caller_runs() -> None:
    originals = [a_jpeg(seed=seed) for seed in range(5)]
    views = [_view(str(seed), original=original) for seed, original in enumerate(originals)]
    told: list[tuple[int, int]] = []
    threads = set()

    def progress(done: int, total: int) -> None:
        told.append((done, total))
        threads.add(threading.current_thread())

    picture_files(views, photos_from(*originals), progress)

    assert told == [(done, 5) for done in range(6)]
    assert threads == {threading.current_thread()}


def test_place_serial_number_and_comment_stay_behind() -> None:
    original = a_jpeg_with_gps(640, 480, seed=1)
    assert b"SERIAL" in original

    data = picture_files([_view(original=original)], photos_from(original), quiet)["one"].data

    assert b"SERIAL" not in data
    assert b"taken at home" not in data
    assert b"Exif" not in data


def test_a_photo_that_can_no_longer_be_read_is_named() -> None:
    broken = a_jpeg()[:900]
    view = PhotoPicture(
        name="one",
        photo=photo_of(1, broken, 640, 480),
        crop=WHOLE_PHOTO,
        marks=(),
        alt="",
        width_mm=50,
        height_mm=40,
    )

    with pytest.raises(PhotoRejectedError, match=r"underside-1\.jpg can no longer be read"):
        picture_files([view], photos_from(broken), quiet)


def test_a_photo_that_is_missing_stops_the_report() -> None:
    with pytest.raises(NotFoundError):
        picture_files([_view(original=a_jpeg())], photos_from(), quiet)


def test_pictures_get_coarser_the_more_there_are_and_never_useless() -> None:
    view = _view(original=a_jpeg())

    scales = [Scale.of([view] * how_many).px_per_mm for how_many in (1, 40, 80, 160, 2_000)]

    assert scales == sorted(scales, reverse=True)
    assert scales[0] == 12
    assert scales[-1] == 5


@pytest.mark.parametrize("how_many", [1, 30, 120])
def test_all_pictures_together_stay_below_what_can_be_mailed(how_many: int) -> None:
    """Noise is the worst that a JPEG can be given; grime is far below it."""
    noise = np.random.default_rng(1).integers(0, 255, (900, 1200, 3), dtype=np.uint8)
    out = BytesIO()
    Image.fromarray(noise).save(out, "JPEG", quality=95)
    original = out.getvalue()
    views = [_view(str(number), original=original) for number in range(how_many)]

    files = picture_files(views, photos_from(original), quiet)

    assert sum(len(file.data) for file in files.values()) < 9_500_000


def test_a_close_up_takes_its_pixels_from_the_original_as_far_as_it_has_them() -> None:
    original = a_jpeg(2000, 1500)
    crop = Bounds(0.4, 0.4, 0.6, 0.6)
    view = _view(original=original, crop=crop)
    scale = Scale.of([view])

    assert scale.photo_side_px(view) == 2000
    assert scale.photo_side_px(_view(original=original)) == 960
    assert scale.picture_px(view) == (960, 720)


def test_signs_are_drawn_the_same_each_time() -> None:
    case = a_case(a_finding(1, marks=(a_mark(photo=a_photo()),)))
    report = report_from(material(case), a_rulebook(), Layout())
    signs = [p for p in pictures_of(report.blocks) if isinstance(p, SignPicture)]

    first, second = (picture_files(signs, photos_from(), quiet) for _ in range(2))

    assert first == second
    assert {file.media_type for file in first.values()} == {"image/png"}
    for file in first.values():
        with Image.open(BytesIO(file.data)) as picture:
            assert len(set(picture.convert("RGB").resize((40, 40)).get_flattened_data())) > 2
