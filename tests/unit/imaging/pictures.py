"""Small generated pictures and files for the imaging tests."""

import json
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from PIL import Image
from pillow_heif import from_pillow

DEMO = Path(__file__).parents[3] / "demo_photos"
DEMO_PHOTOS = sorted(path.name for path in DEMO.iterdir() if path.suffix in (".jpg", ".heic"))

Pixels = npt.NDArray[np.uint8]

RED, GREEN, BLUE, YELLOW = (220, 30, 30), (30, 180, 40), (40, 50, 210), (230, 220, 40)


def four_corners(width_px: int = 96, height_px: int = 64) -> Pixels:
    """Return a picture whose quarters are red, green / blue, yellow, so that no turn fits twice."""
    picture = np.zeros((height_px, width_px, 3), np.uint8)
    half_y, half_x = height_px // 2, width_px // 2
    picture[:half_y, :half_x], picture[:half_y, half_x:] = RED, GREEN
    picture[half_y:, :half_x], picture[half_y:, half_x:] = BLUE, YELLOW
    return picture


def quarters_of(pixels: Image.Image) -> list[tuple[int, int, int]]:
    """Return the colour in the middle of each quarter, read like text."""
    seen = np.asarray(pixels)
    height_px, width_px = seen.shape[:2]
    ys, xs = (height_px // 4, height_px * 3 // 4), (width_px // 4, width_px * 3 // 4)
    return [(int(seen[y, x, 0]), int(seen[y, x, 1]), int(seen[y, x, 2])) for y in ys for x in xs]


def exif(orientation: int | None = None, taken: str | None = None, **more: str) -> Image.Exif:
    tags = Image.Exif()
    if orientation is not None:
        tags[0x0112] = orientation
    if taken is not None:
        tags.get_ifd(0x8769)[0x9003] = taken
    if "subsec" in more:
        tags.get_ifd(0x8769)[0x9291] = more["subsec"]
    return tags


def encoded(picture: Image.Image | Pixels, kind: str = "JPEG", **options: Any) -> bytes:
    """Return a picture as a file of this kind ("HEIF" by pillow-heif, the rest by Pillow)."""
    image = picture if isinstance(picture, Image.Image) else Image.fromarray(picture)
    target = BytesIO()
    if kind == "HEIF":
        tags = options.pop("exif", None)
        heif = from_pillow(image)
        heif.save(target, exif=tags.tobytes() if tags else None, **options)
    else:
        if kind == "TIFF" and isinstance(options.get("exif"), Image.Exif):
            options["exif"] = options["exif"].tobytes()  # as an object, its inner lists get lost
        if kind == "JPEG":
            options = {"quality": 95, **options}
        image.save(target, kind, **options)
    return target.getvalue()


def busy_picture(width_px: int, height_px: int, seed: int = 7) -> Pixels:
    """Return a picture with edges of all directions, like a photo of many small parts."""
    random = np.random.default_rng(seed)
    small = random.integers(30, 226, (height_px // 16 + 1, width_px // 16 + 1, 3), dtype=np.uint8)
    large = Image.fromarray(small).rotate(17, expand=False).resize((width_px, height_px), 0)
    return np.asarray(large)


@cache
def demo_bytes(name: str) -> bytes:
    return (DEMO / name).read_bytes()


@cache
def demo_truth(name: str) -> dict[str, Any]:
    truth: dict[str, Any] = json.loads((DEMO / "truth" / f"{Path(name).stem}.json").read_text())
    return truth
