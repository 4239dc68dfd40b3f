"""What we take from EXIF: which way is up, when, and what camera. Broken EXIF gives nothing.

Neither the place nor any serial number is ever read.
"""

import re
import struct
from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from PIL import ExifTags, Image

# EXIF tag 274 of CIPA DC-008 says where the first stored row and column lie in the upright
# picture; these are the moves that bring them there.
_MOVES = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

QUARTER_TURNS = frozenset(_MOVES[orientation] for orientation in (5, 6, 7, 8))

_DATE = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)", re.ASCII)

# What Pillow's EXIF reader may raise on bytes that are no EXIF.
_BROKEN_EXIF = (
    OSError, SyntaxError, ValueError, TypeError, LookupError, ArithmeticError,
    AttributeError, AssertionError, EOFError, MemoryError, RecursionError, struct.error,
)  # fmt: skip

_Fact = TypeVar("_Fact")


def move_upright(image: Image.Image) -> Image.Transpose | None:
    """Return the move that makes ``image`` upright, or None when it is upright as stored."""
    return _unless_broken(lambda: _MOVES.get(image.getexif().get(ExifTags.Base.Orientation, 1)))


def taken_at(image: Image.Image) -> datetime | None:
    """Return the camera's own clock (no zone) at the shutter, or None when it is not told."""
    return _unless_broken(lambda: _taken_at(image.getexif().get_ifd(ExifTags.IFD.Exif)))


def camera(image: Image.Image) -> str:
    """Return make and model of the camera, cut at 80 characters, or "" when the file tells none."""
    return _unless_broken(lambda: _camera(image.getexif())) or ""


def _camera(exif: Image.Exif) -> str:
    make, model = (
        " ".join("".join(c for c in _text(exif.get(tag)) if c.isprintable()).split())
        for tag in (ExifTags.Base.Make, ExifTags.Base.Model)
    )
    # Many write the make into the model once more.
    whole = model if model.casefold().startswith(make.casefold()) else f"{make} {model}"
    return whole.strip()[:80]


def _unless_broken(read: Callable[[], _Fact | None]) -> _Fact | None:
    try:
        return read()
    except _BROKEN_EXIF:
        return None


def _taken_at(exif: dict[int, object]) -> datetime | None:
    written = exif.get(ExifTags.Base.DateTimeOriginal)
    match = _DATE.match(_text(written))
    if match is None:
        return None
    year, month, day, hour, minute, second = (int(part) for part in match.groups())
    microsecond = _microseconds(_text(exif.get(ExifTags.Base.SubsecTimeOriginal)))
    # No zone: the camera's clock has none, and guessing one would move the time of a photo.
    return datetime(year, month, day, hour, minute, second, microsecond)  # noqa: DTZ001


def _microseconds(fraction: str) -> int:
    digits = fraction.strip(" \0")
    return int(digits[:6].ljust(6, "0")) if digits.isascii() and digits.isdigit() else 0


def _text(value: object) -> str:
    if isinstance(value, bytes):
        return value.decode("ascii", "replace")
    return value if isinstance(value, str) else ""
