"""Forty photos of 12 megapixels taken in, against decoding and scaling each of them once.

Two floors on the same number of threads: a plain decode at full size scaled to the size of the
canvas, and the same with the JPEG decoded at the smallest size that will do. Only figures are
printed: other work on the machine decides too much.
"""

import os
import resource
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from tests.bench.test_imaging_bench import twelve_megapixels
from tests.builders import ESTIMATOR
from tests.unit.imaging.pictures import encoded
from tests.unit.services.shop import a_shop
from triage_app.services.intake import PhotoAnswer

pytestmark = pytest.mark.bench

_PHOTOS = 40
_CANVAS_PX = 2_048


def decoded_and_scaled(data: bytes, *, draft: bool) -> None:
    with Image.open(BytesIO(data)) as image:
        if draft:
            image.draft("RGB", (_CANVAS_PX, _CANVAS_PX))
        image.thumbnail((_CANVAS_PX, _CANVAS_PX), reducing_gap=None)


def resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * resource.getpagesize() / 1e6


def peak_while(work: threading.Event) -> list[float]:
    """Return, once ``work`` is done, the memory seen meanwhile, in MB."""
    seen = [resident_mb()]
    while not work.wait(0.02):
        seen.append(resident_mb())
    return seen


def test_forty_photos_are_taken_in() -> None:
    # A trailing count makes forty different files of one picture.
    picture = encoded(twelve_megapixels(), quality=85)
    files = [(f"{n}.jpg", picture + bytes([n])) for n in range(_PHOTOS)]
    cores = max(1, min(4, os.cpu_count() or 1))
    floors = {}
    for draft in (False, True):
        start = time.perf_counter()
        with ThreadPoolExecutor(cores) as pool:
            list(pool.map(lambda file: decoded_and_scaled(file[1], draft=draft), files))  # noqa: B023 - done at once
        floors[draft] = time.perf_counter() - start
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    done, half = threading.Event(), []
    with ThreadPoolExecutor(1) as watcher:
        watched = watcher.submit(peak_while, done)
        start = time.perf_counter()
        outcomes = shop.intake.add_photos(
            case.id, files, by=ESTIMATOR, progress=lambda at, _: half.append((at, resident_mb()))
        )
        taken = time.perf_counter() - start
        done.set()
    print(
        f"\n{_PHOTOS} photos of 12 MP on {cores} cores: {taken:.2f} s; "
        f"decode and scale at full size {floors[False]:.2f} s, ratio {taken / floors[False]:.2f}; "
        f"with JPEG scaling {floors[True]:.2f} s, ratio {taken / floors[True]:.2f}"
    )
    print(
        f"memory after 10, 20, 30, 40 photos: "
        f"{', '.join(f'{mb:.0f}' for at, mb in half if at % 10 == 0)} MB; "
        f"peak {max(watched.result()):.0f} MB, of which the files {len(picture) * 40 / 1e6:.0f} MB"
    )
    assert {outcome.answer for outcome in outcomes} == {PhotoAnswer.ACCEPTED}


def test_a_photo_is_on_screen() -> None:
    data = encoded(twelve_megapixels(), quality=85)
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    start = time.perf_counter()
    outcome = shop.intake.add_photo(case.id, data, file_name="a.jpg", by=ESTIMATOR)
    assert outcome.photo is not None
    stored = time.perf_counter() - start
    shown = shop.intake.photo_jpeg(case.id, outcome.photo.id, longest_side_px=_CANVAS_PX)
    print(
        f"\n12 MP JPEG: read and stored {stored * 1e3:.0f} ms, "
        f"first preview {(time.perf_counter() - start) * 1e3:.0f} ms after upload"
    )
    assert len(shown) < len(data)
