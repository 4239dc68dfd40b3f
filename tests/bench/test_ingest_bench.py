"""Forty photos of 12 megapixels taken in, against decoding and scaling each of them once.

The floor is a plain decode scaled to the size of the canvas, on the same number of threads. (A
12 MP JPEG cannot be decoded smaller for it: 4000 px are less than twice 2048.) Floor and work take
turns, so that other work on the machine slows both; only figures are printed.
"""

import os
import resource
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from tests.bench.test_imaging_bench import twelve_megapixels
from tests.builders import ESTIMATOR
from tests.unit.imaging.pictures import encoded
from tests.unit.services.shop import a_shop
from triage_app.domain.ids import CaseId, PhotoId
from triage_app.services.intake import PhotoAnswer, PhotoOutcome
from triage_app.services.services import Services

pytestmark = pytest.mark.bench

_PHOTOS = 40
_CANVAS_PX = 2_048
_TURN = 10


def decoded_and_scaled(data: bytes) -> None:
    with Image.open(BytesIO(data)) as image:
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


class Clocks:
    """Wall and processor seconds, summed over turns."""

    def __init__(self) -> None:
        self.wall_s = self.processor_s = 0.0

    def add(self, work: Callable[[], object]) -> None:
        wall, processor = time.perf_counter(), time.process_time()
        work()
        self.wall_s += time.perf_counter() - wall
        self.processor_s += time.process_time() - processor

    def ratio_to(self, floor: "Clocks") -> str:
        return (
            f"{self.wall_s:.2f} s, {self.wall_s / floor.wall_s:.2f} x the floor "
            f"(processor {self.processor_s / floor.processor_s:.2f} x)"
        )


def test_forty_photos_are_taken_in() -> None:
    # A trailing count makes forty different files of one picture.
    picture = encoded(twelve_megapixels(), quality=85)
    files = [(f"{n}.jpg", picture + bytes([n])) for n in range(_PHOTOS)]
    cores = max(1, min(4, os.cpu_count() or 1))
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    floor, taken_in, shown = Clocks(), Clocks(), Clocks()
    outcomes: list[PhotoOutcome] = []
    memory_mb: list[float] = []
    done = threading.Event()
    with ThreadPoolExecutor(1) as watcher, ThreadPoolExecutor(cores) as pool:
        watched = watcher.submit(peak_while, done)
        for at in range(0, _PHOTOS, _TURN):
            turn = files[at : at + _TURN]
            floor.add(lambda: list(pool.map(lambda file: decoded_and_scaled(file[1]), turn)))  # noqa: B023 - done at once
            taken_in.add(
                lambda: outcomes.extend(shop.intake.add_photos(case.id, turn, by=ESTIMATOR))  # noqa: B023 - done at once
            )
            memory_mb.append(resident_mb())
            ids = [outcome.photo.id for outcome in outcomes[at:] if outcome.photo]
            shown.add(lambda: list(pool.map(lambda one: preview(shop, case.id, one), ids)))  # noqa: B023 - done at once
        done.set()
    print(
        f"\n{_PHOTOS} photos of 12 MP on {cores} cores; the floor, decoded and scaled once: "
        f"{floor.wall_s:.2f} s\ntaken in: {taken_in.ratio_to(floor)}; "
        f"their previews, made when first looked at: {shown.ratio_to(floor)}"
    )
    every = len(memory_mb) // 4
    print(
        f"memory after 10, 20, 30, 40 photos: "
        f"{', '.join(f'{mb:.0f}' for mb in memory_mb[every - 1 :: every])} MB; "
        f"peak {max(watched.result()):.0f} MB, of which the files {len(picture) * 40 / 1e6:.0f} MB"
    )
    assert {outcome.answer for outcome in outcomes} == {PhotoAnswer.ACCEPTED}


def preview(shop: Services, case_id: CaseId, photo_id: PhotoId) -> bytes:
    return shop.intake.photo_jpeg(case_id, photo_id, longest_side_px=_CANVAS_PX, by=ESTIMATOR)


def test_a_photo_is_on_screen() -> None:
    data = encoded(twelve_megapixels(), quality=85)
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    start = time.perf_counter()
    outcome = shop.intake.add_photo(case.id, data, file_name="a.jpg", by=ESTIMATOR)
    assert outcome.photo is not None
    stored = time.perf_counter() - start
    shown = shop.intake.photo_jpeg(
        case.id, outcome.photo.id, longest_side_px=_CANVAS_PX, by=ESTIMATOR
    )
    print(
        f"\n12 MP JPEG: read and stored {stored * 1e3:.0f} ms, "
        f"first preview {(time.perf_counter() - start) * 1e3:.0f} ms after upload"
    )
    assert len(shown) < len(data)
