"""Bytes of a file -> upright sRGB photo, within limits; everything else is refused."""

import math
import os
import struct
import threading
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO

from PIL import Image, ImageFile, JpegImagePlugin

from triage_app.domain.errors import PhotoRejectedError
from triage_app.imaging.colour import to_plain, to_srgb
from triage_app.imaging.formats import ACCEPTED_FORMATS, media_type_of, opener_for
from triage_app.imaging.jpeg_scans import check_scans
from triage_app.imaging.metadata import QUARTER_TURNS, camera, move_upright, taken_at
from triage_app.imaging.quiet import QuietPillow

_MAX_MEGAPIXELS = 60
MAX_PIXELS = _MAX_MEGAPIXELS * 1_000_000
MAX_SIDE_PX = 30_000

_DNG_VERSION = 50706  # the TIFF tag that makes a file a raw DNG; its first picture is a thumbnail

_DAMAGED = "The photo is damaged or cut off; copy it from the phone or camera again."

# What Pillow and the libraries under it raise on bytes that are no whole photo.
_BROKEN_FILE = (
    OSError, SyntaxError, ValueError, EOFError, RuntimeError, MemoryError,
    TypeError, LookupError, ArithmeticError, struct.error,
)  # fmt: skip

# A decode of 60 MP takes up to 0.9 GB for a moment, and more decodes than cores gain nothing.
_decode_slots = threading.BoundedSemaphore(max(1, min(4, os.cpu_count() or 1)))
_quiet_pillow = QuietPillow()


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """A photo as a person sees it; ``pixels`` (RGB, sRGB, no metadata) is there to be read only.

    ``width_px`` and ``height_px`` are of the whole photo, also where ``pixels`` is smaller.
    """

    pixels: Image.Image
    media_type: str
    width_px: int
    height_px: int
    taken_at: datetime | None
    camera: str = ""


def decode(data: bytes, *, at_least_px: int | None = None) -> Upright:
    """Return the upright photo; with ``at_least_px`` possibly smaller, which is much faster.

    The longest side of ``pixels`` is then at least ``at_least_px``, unless the photo itself is
    smaller. Of a file with several pictures the first (of HEIF: the primary one) is taken.
    Raises PhotoRejectedError.
    """
    media_type = media_type_of(data)
    with _decode_slots, _quiet_pillow():
        image = _opened(data, media_type)
        _check_size(image.size)
        full_size = _loaded(image, at_least_px)
        move, taken, taken_with = move_upright(image), taken_at(image), camera(image)
        pixels = _upright_srgb(image, move, at_least_px)
    width_px, height_px = full_size if move not in QUARTER_TURNS else full_size[::-1]
    return Upright(
        pixels=pixels,
        media_type=media_type,
        width_px=width_px,
        height_px=height_px,
        taken_at=taken,
        camera=taken_with,
    )


def _opened(data: bytes, media_type: str) -> ImageFile.ImageFile:
    """Return the picture with its header read and no pixel decoded."""
    if media_type == "image/jpeg":
        check_scans(data)
    try:
        image = opener_for(media_type)(BytesIO(data))
        is_raw = media_type == "image/tiff" and _DNG_VERSION in image.getexif()
    except Image.DecompressionBombError as error:
        raise PhotoRejectedError(
            f"The photo says it has far more than the {_MAX_MEGAPIXELS} megapixels that are taken."
        ) from error
    except _BROKEN_FILE as error:
        raise PhotoRejectedError(_DAMAGED) from error
    if is_raw:
        raise PhotoRejectedError(f"The file is a raw camera file (DNG); send {ACCEPTED_FORMATS}.")
    return image


def _check_size(size: tuple[int, int]) -> None:
    width_px, height_px = size
    if width_px * height_px > MAX_PIXELS:
        megapixels = math.ceil(width_px * height_px / 100_000) / 10
        raise PhotoRejectedError(
            f"The photo has {megapixels:g} megapixels; at most {_MAX_MEGAPIXELS} are taken."
        )
    if max(size) > MAX_SIDE_PX:
        raise PhotoRejectedError(
            f"The photo is {width_px} x {height_px} pixels; at most {MAX_SIDE_PX} on a side."
        )


def _loaded(image: ImageFile.ImageFile, at_least_px: int | None) -> tuple[int, int]:
    """Decode the pixels; return the stored size of the whole photo."""
    header_size = image.size
    is_jpeg = isinstance(image, JpegImagePlugin.JpegImageFile)
    try:
        if is_jpeg and at_least_px:
            # A JPEG can be decoded at 1/2, 1/4 or 1/8 of its size, for less than that of the time.
            factor = max(1, max(header_size) // at_least_px)
            image.draft(None, (header_size[0] // factor or 1, header_size[1] // factor or 1))
        image.load()
    except _BROKEN_FILE as error:
        raise PhotoRejectedError(_DAMAGED) from error
    if is_jpeg:
        return header_size
    # Only the decoded size counts: TIFF turns itself, and a HEIC header may not tell the truth.
    _check_size(image.size)
    return image.size


def _upright_srgb(
    image: Image.Image, move: Image.Transpose | None, at_least_px: int | None
) -> Image.Image:
    factor = max(image.size) // at_least_px if at_least_px else 1
    try:
        plain = to_plain(image)
        smaller = plain.reduce(factor) if factor > 1 else plain
        srgb = to_srgb(smaller, image.info.get("icc_profile"))
        upright = srgb if move is None else srgb.transpose(move)
        # A whole photo of 60 MP takes 240 MB, so it is copied only to part it from its file.
        clean = upright.copy() if upright is image else upright
    except (OSError, ValueError, MemoryError) as error:
        raise PhotoRejectedError("The photo is too large or unusual to be read.") from error
    clean.info.clear()
    return clean
