"""How long a photo takes from bytes to reading and to preview; prints, asserts no time."""

import os
import statistics
import time
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image

from tests.unit.imaging.pictures import demo_bytes, encoded
from triage_app.domain.scale import CardKind
from triage_app.imaging.decode import decode
from triage_app.imaging.lens import Lens
from triage_app.imaging.reading import READING_SIDE_PX, read_photo
from triage_app.imaging.resize import upright_jpeg
from triage_app.imaging.scale_reading import read_plane

pytestmark = pytest.mark.bench

# `make bench` measures; `make test` only sees that the benchmark still works.
_TIMES = 3 if os.environ.get("UNDERBODY_BENCH") == "full" else 1


def twelve_megapixels() -> Image.Image:
    """Return a demo photo enlarged to 4000 x 3000 with the noise of a phone's sensor."""
    demo = Image.fromarray(np.asarray(decode(demo_bytes("02_skid_plate_closeup.jpg")).pixels))
    large = np.asarray(demo.resize((4_000, 3_000), Image.Resampling.BICUBIC)).astype(np.int16)
    noise = np.random.default_rng(1).normal(0, 3, large.shape).astype(np.int16)
    return Image.fromarray(np.clip(large + noise, 0, 255).astype(np.uint8))


def report(what: str, work: Callable[[], object]) -> None:
    work()
    wall_ms, processor_ms = [], []
    for _ in range(_TIMES):
        wall, processor = time.perf_counter(), time.process_time()
        work()
        wall_ms.append((time.perf_counter() - wall) * 1_000)
        processor_ms.append((time.process_time() - processor) * 1_000)
    print(
        f"{what:<40} median {statistics.median(wall_ms):6.0f} ms, "
        f"best {min(wall_ms):6.0f} ms, processor {min(processor_ms):6.0f} ms"
    )


@pytest.mark.parametrize("kind", ["JPEG", "HEIF"])
def test_twelve_megapixels_are_read_and_shown(kind: str) -> None:
    data = encoded(twelve_megapixels(), kind, quality=85)
    print(f"\n{kind}, 12 megapixels, {len(data) / 1e6:.1f} MB")
    report("decode for reading", lambda: decode(data, at_least_px=READING_SIDE_PX))
    report("read (size, quality, orange, scale)", lambda: read_photo(data))
    report("preview of 2048 px", lambda: upright_jpeg(data, longest_side_px=2_048))
    report("thumbnail of 400 px", lambda: upright_jpeg(data, longest_side_px=400))
    report("full size", lambda: upright_jpeg(data, longest_side_px=None))
    assert max(decode(data, at_least_px=READING_SIDE_PX).pixels.size) >= READING_SIDE_PX


def test_a_scale_card_becomes_a_plane() -> None:
    demo = Image.fromarray(np.asarray(decode(demo_bytes("07_battery_floor_scrape.jpg")).pixels))
    for megapixels, size in ((2, (1_600, 1_200)), (12, (4_000, 3_000)), (48, (8_000, 6_000))):
        pixels = np.asarray(demo.resize(size, Image.Resampling.BICUBIC))
        report(
            f"card in {megapixels} MP, decoded -> plane",
            lambda pixels=pixels: read_plane(  # type: ignore[misc]  # bound at once, not later
                pixels, sides_mm={CardKind.SQUARE: 60.0}, lens=Lens()
            ),
        )
