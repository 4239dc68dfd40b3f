"""Any kind of pixels that a photo file can hold, turned into plain sRGB."""

from io import BytesIO

import numpy as np
from PIL import Image, ImageCms

from triage_app.domain.errors import PhotoRejectedError

_SIXTEEN_BIT = ("I;16", "I;16L", "I;16B", "I;16N", "I")
_ALPHA = ("RGBA", "LA", "PA", "RGBa", "La")


def to_plain(image: Image.Image) -> Image.Image:
    """Return the picture as L, RGB or CMYK, the modes that a colour profile can speak of.

    Alpha is laid on white. Raises PhotoRejectedError for pixels that no camera writes (floating
    point, Lab).
    """
    if image.mode in _SIXTEEN_BIT:
        return _eight_bit(image)
    if image.mode in _ALPHA or "transparency" in image.info:
        return _on_white(image)
    if image.mode in ("L", "RGB", "CMYK"):
        return image
    if image.mode in ("1", "P", "YCbCr", "RGBX"):
        return image.convert("RGB")
    raise PhotoRejectedError("The photo stores its colours in a way that cannot be read.")


def to_srgb(plain: Image.Image, profile: object) -> Image.Image:
    """Return a plain picture as RGB in sRGB; the same object where nothing is to be done.

    A colour profile that is absent, broken or does not fit the pixels is passed over.
    """
    srgb = _with_profile(plain, profile) if isinstance(profile, bytes) and profile else None
    if srgb is not None:
        return srgb
    return plain if plain.mode == "RGB" else plain.convert("RGB")


def _eight_bit(image: Image.Image) -> Image.Image:
    # Pillow's own conversion clips at 255 instead of scaling.
    samples = np.clip(np.asarray(image), 0, 65_535)
    return Image.fromarray((samples >> 8).astype(np.uint8))


def _on_white(image: Image.Image) -> Image.Image:
    layer = image if image.mode == "RGBA" else image.convert("RGBA")
    ground = Image.new("RGB", layer.size, "white")
    ground.paste(layer, mask=layer)
    return ground


def _with_profile(plain: Image.Image, profile: bytes) -> Image.Image | None:
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        return ImageCms.profileToProfile(
            plain,
            source,
            ImageCms.createProfile("sRGB"),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
        )
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None
