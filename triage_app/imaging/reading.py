"""Everything that the pixels of one photo say, read in one go at a moderate size."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from triage_app.domain.case import PhotoQuality
from triage_app.domain.geometry import Rings
from triage_app.imaging.decode import decode
from triage_app.imaging.orange import orange_areas
from triage_app.imaging.quality import judge_quality
from triage_app.imaging.scale import ScaleMarker, find_scale_markers

# Enough for all that is looked for here, and a 12 MP JPEG is then decoded at half size.
READING_SIDE_PX = 1_600


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoReading:
    """What was read of a photo. Sizes are of the whole upright photo, in pixels."""

    media_type: str
    width_px: int
    height_px: int
    taken_at: datetime | None
    quality: PhotoQuality
    orange_areas: tuple[Rings, ...]
    scale_markers: tuple[ScaleMarker, ...]


def read_photo(data: bytes) -> PhotoReading:
    """Read one file; raises PhotoRejectedError when it is no usable photo."""
    upright = decode(data, at_least_px=READING_SIDE_PX)
    pixels = np.asarray(upright.pixels)
    return PhotoReading(
        media_type=upright.media_type,
        width_px=upright.width_px,
        height_px=upright.height_px,
        taken_at=upright.taken_at,
        quality=judge_quality(pixels, longest_side_px=max(upright.width_px, upright.height_px)),
        orange_areas=orange_areas(pixels),
        scale_markers=find_scale_markers(
            pixels, width_px=upright.width_px, height_px=upright.height_px
        ),
    )
