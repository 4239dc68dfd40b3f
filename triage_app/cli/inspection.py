"""Look at one photo file without taking it in."""

from dataclasses import dataclass
from io import BytesIO

import numpy as np
from PIL import Image

from triage_app.domain.errors import NoScaleError
from triage_app.domain.scale import CardKind
from triage_app.imaging.formats import opener_for
from triage_app.imaging.metadata import move_upright
from triage_app.imaging.quiet import QuietPillow
from triage_app.imaging.reading import PhotoReading, read_photo
from triage_app.services.measuring import plane_from

_AS_STORED = "upright as stored"
_TURNS = {
    Image.Transpose.FLIP_LEFT_RIGHT: "mirrored left to right",
    Image.Transpose.ROTATE_180: "turned by 180 degrees",
    Image.Transpose.FLIP_TOP_BOTTOM: "mirrored top to bottom",
    Image.Transpose.TRANSPOSE: "mirrored and turned by 90 degrees counterclockwise",
    Image.Transpose.ROTATE_270: "turned by 90 degrees clockwise",
    Image.Transpose.TRANSVERSE: "mirrored and turned by 90 degrees clockwise",
    Image.Transpose.ROTATE_90: "turned by 90 degrees counterclockwise",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ScalePlane:
    """The plane of the cards in a photo. Lengths in mm, pixels of the upright photo.

    ``mm_per_px_at_card`` is the size of a pixel there; ``camera_height_mm`` the nearest that the
    camera may have stood; ``border_shift_px`` by how much black squares look small on each side.
    """

    cards: tuple[int, ...]
    rests_on: str
    camera_height_mm: float
    mm_per_px_at_card: float
    border_shift_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """One file: its ``reading``, or None and why it was refused.

    ``orientation`` says what the reader does to bring the stored picture upright; ``plane`` is
    None where ``no_scale_because`` says why there are no millimetres.
    """

    file: str
    orientation: str = ""
    reading: PhotoReading | None
    plane: ScalePlane | None = None
    no_scale_because: str = ""
    refused_because: str = ""


def inspect_photo(
    file_name: str, data: bytes, *, sides_mm: dict[CardKind, float] | None = None
) -> Inspected:
    """Read one photo; raises PhotoRejectedError.

    ``sides_mm`` are the black squares of the printed cards; without them cards give no scale.
    """
    reading = read_photo(data)
    with QuietPillow()():
        move = move_upright(opener_for(reading.media_type)(BytesIO(data)))
    orientation = _AS_STORED if move is None else _TURNS[move]
    plane, why_not = _plane(data, reading, sides_mm or {})
    return Inspected(
        file=file_name,
        orientation=orientation,
        reading=reading,
        plane=plane,
        no_scale_because=why_not,
    )


def _plane(
    data: bytes, reading: PhotoReading, sides_mm: dict[CardKind, float]
) -> tuple[ScalePlane | None, str]:
    try:
        plane = plane_from(data, reference=None, sides_mm=sides_mm, lenses=())
    except NoScaleError as error:
        return None, str(error)
    if plane.camera is None or not reading.scale_markers:
        return None, "No scale card is seen whole."
    middle = [sum(way) / 4 for way in zip(*_corners(reading), strict=True)]
    beside_px = np.array([middle, [middle[0] + 1.0, middle[1]]])
    at_card = plane.to_mm(beside_px)[0]
    return ScalePlane(
        cards=plane.card_numbers,
        rests_on=plane.scale,
        camera_height_mm=round(plane.camera.nearest_mm, 1),
        mm_per_px_at_card=round(float(np.linalg.norm(at_card[1] - at_card[0])), 4),
        border_shift_px=round(plane.shift_px, 2),
    ), ""


def _corners(reading: PhotoReading) -> list[tuple[float, float]]:
    corners = reading.scale_markers[0].corners
    return [(p.x_frac * reading.width_px, p.y_frac * reading.height_px) for p in corners]
