"""What a file is, told by its first bytes; its name is never asked."""

from collections.abc import Callable
from typing import BinaryIO

from PIL import ImageFile, JpegImagePlugin, PngImagePlugin, TiffImagePlugin, WebPImagePlugin
from pillow_heif import HeifImageFile

from triage_app.domain.errors import PhotoRejectedError

ACCEPTED_FORMATS = "JPEG, HEIC, PNG, WebP or TIFF"

Opener = Callable[[BinaryIO], ImageFile.ImageFile]

# The plugins are called by name, not through Image.open: no global registration is needed for
# HEIC, the size is ours to judge, and an MPO file is opened as the JPEG that it begins with.
_OPENERS: dict[str, Opener] = {
    "image/jpeg": JpegImagePlugin.JpegImageFile,
    "image/png": PngImagePlugin.PngImageFile,
    "image/webp": WebPImagePlugin.WebPImageFile,
    "image/tiff": TiffImagePlugin.TiffImageFile,
    "image/heic": HeifImageFile,
    "image/heif": HeifImageFile,
}

_TIFF_STARTS = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")

# Brands of ISO/IEC 23008-12 (HEIF): coded as HEVC, or not told.
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs")
_HEIF_BRANDS = (b"mif1", b"msf1")

_OTHER_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"GIF8", "a GIF"),
    (b"BM", "a BMP"),
    (b"%PDF", "a PDF"),
    (b"<svg", "an SVG drawing"),
    (b"<?xml", "an XML file"),
    (b"PK\x03\x04", "a ZIP archive or an office document"),
    (b"\xd0\xcf\x11\xe0", "an office document"),
)


def media_type_of(data: bytes) -> str:
    """Return the media type; raises PhotoRejectedError for anything that is not taken."""
    if not data:
        raise PhotoRejectedError("The file is empty.")
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    if data.startswith(_TIFF_STARTS):
        return "image/tiff"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        return "image/heic"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS:
        return "image/heif"
    raise PhotoRejectedError(f"The file is {_kind_of(data)}; send {ACCEPTED_FORMATS}.")


def opener_for(media_type: str) -> Opener:
    return _OPENERS[media_type]


def _kind_of(data: bytes) -> str:
    start = data[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    for prefix, kind in _OTHER_KINDS:
        if start.startswith(prefix):
            return f"{kind}, not a photo"
    if data[4:8] == b"ftyp":
        return "a video or a kind of picture that cannot be read"
    return "not a photo that can be read"
