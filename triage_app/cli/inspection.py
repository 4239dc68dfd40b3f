"""Look at one photo file without taking it in."""

from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from triage_app.imaging.formats import opener_for
from triage_app.imaging.metadata import move_upright
from triage_app.imaging.quiet import QuietPillow
from triage_app.imaging.reading import PhotoReading, read_photo

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
class Inspected:
    """One file: its ``reading``, or None and why it was refused.

    ``orientation`` says what the reader does to bring the stored picture upright.
    """

    file: str
    orientation: str = ""
    reading: PhotoReading | None
    refused_because: str = ""


def inspect_photo(file_name: str, data: bytes) -> Inspected:
    """Read one photo; raises PhotoRejectedError."""
    reading = read_photo(data)
    with QuietPillow()():
        move = move_upright(opener_for(reading.media_type)(BytesIO(data)))
    orientation = _AS_STORED if move is None else _TURNS[move]
    return Inspected(file=file_name, orientation=orientation, reading=reading)
