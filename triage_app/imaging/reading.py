"""Everything that the pixels of one photo say, read in one go at a moderate size."""

from dataclasses import dataclass
from datetime import datetime

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.case import PhotoQuality
from triage_app.domain.geometry import Rings
from triage_app.imaging.decode import decode
from triage_app.imaging.orange import orange_areas
from triage_app.imaging.quality import judge_quality
from triage_app.imaging.scale import ScaleMarker, find_scale_markers

# Quality and colour are judged at one size, so that their measures mean the same for every phone;
# a 12 MP JPEG is decoded at half its size for it. A smaller photo is judged as it is.
READING_SIDE_PX = 1_600


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoReading:
    """What was read of a photo. Sizes are of the whole upright photo, in pixels."""

    media_type: str
    width_px: int
    height_px: int
    taken_at: datetime | None
    camera: str
    quality: PhotoQuality
    orange_areas: tuple[Rings, ...]
    scale_markers: tuple[ScaleMarker, ...]


def read_photo(data: bytes) -> PhotoReading:
    """Read one file; raises PhotoRejectedError when it is no usable photo."""
    upright = decode(data, at_least_px=READING_SIDE_PX)
    pixels = np.asarray(upright.pixels)
    even_pixels = _at_reading_size(pixels)
    return PhotoReading(
        media_type=upright.media_type,
        width_px=upright.width_px,
        height_px=upright.height_px,
        taken_at=upright.taken_at,
        camera=upright.camera,
        quality=judge_quality(
            even_pixels, longest_side_px=max(upright.width_px, upright.height_px)
        ),
        orange_areas=orange_areas(even_pixels),
        scale_markers=find_scale_markers(
            pixels, width_px=upright.width_px, height_px=upright.height_px
        ),
    )


def _at_reading_size(pixels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    height_px, width_px = pixels.shape[:2]
    scale = READING_SIDE_PX / max(height_px, width_px)
    if scale >= 1:
        return pixels
    size = (max(1, round(width_px * scale)), max(1, round(height_px * scale)))
    return cv2.resize(pixels, size, interpolation=cv2.INTER_AREA).astype(np.uint8, copy=False)
