"""What a photo notes about its camera in EXIF: which one, and how long its lens is.

Used to find the calibration of that phone. The name stays in the shop's own database: it goes
into no case, report or export.
"""

import math
from dataclasses import dataclass
from io import BytesIO

from PIL import ExifTags, Image

from triage_app.imaging.formats import media_type_of, opener_for
from triage_app.imaging.quiet import QuietPillow

_quiet_pillow = QuietPillow()


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraNote:
    """``camera`` names maker, model and lens ("" when not noted); ``film_mm`` as of 35 mm film."""

    camera: str = ""
    film_mm: float | None = None


def camera_note(data: bytes) -> CameraNote:
    """Return what a photo file notes; nothing where its EXIF is absent or broken."""
    try:
        with _quiet_pillow():
            image = opener_for(media_type_of(data))(BytesIO(data))
            return _note(image)
    except Exception:  # noqa: BLE001 - EXIF readers raise anything on broken bytes; it is only a note
        return CameraNote()


def _note(image: Image.Image) -> CameraNote:
    exif = image.getexif()
    more = exif.get_ifd(ExifTags.IFD.Exif)
    film_mm = _number(more.get(ExifTags.Base.FocalLengthIn35mmFilm))
    names = [_text(exif.get(ExifTags.Base.Make)), _text(exif.get(ExifTags.Base.Model))]
    # A phone has several lenses, and each is calibrated on its own.
    lens_mm = film_mm or _number(more.get(ExifTags.Base.FocalLength))
    if not any(names):
        return CameraNote(film_mm=film_mm)
    if lens_mm:
        names.append(f"{lens_mm:g} mm")
    return CameraNote(camera=" ".join(name for name in names if name)[:200], film_mm=film_mm)


def _text(value: object) -> str:
    text = value.decode("ascii", "replace") if isinstance(value, bytes) else value
    return " ".join(c for c in str(text or "").split() if c.isprintable())


def _number(value: object) -> float | None:
    try:
        number = float(value)  # type: ignore[arg-type]  # whatever EXIF holds; tried on the next line
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if math.isfinite(number) and number > 0 else None
