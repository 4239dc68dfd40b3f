"""Small signs, drawn by us: warning; electricity (ISO 7010 W012), safety alert, mark samples."""

import math
from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageDraw

from rules import Risk
from triage_app.domain.geometry import rectangle
from triage_app.imaging.annotate import DrawnMark, View, draw
from triage_app.report.model import Sign, SignPicture

_PX_PER_MM = 16
_SUPERSAMPLING = 4
_YELLOW = "#F9A800"
_BLACK = "#1B1B1C"
_SAMPLE_GROUND = (150, 150, 146)

# The bolt of the electricity sign, in a square of side 1: a zigzag from top right to an arrow head.
_BOLT = (
    (0.555, 0.315), (0.40, 0.595), (0.505, 0.595), (0.465, 0.755), (0.425, 0.74), (0.475, 0.885),
    (0.56, 0.765), (0.52, 0.77), (0.60, 0.53), (0.485, 0.53), (0.62, 0.335),
)  # fmt: skip


def sign_png(picture: SignPicture) -> bytes:
    """Return the sign as PNG: same sign, same bytes."""
    return _png(picture.sign, picture.risk, picture.width_mm, picture.height_mm)


@lru_cache(maxsize=64)
def _png(sign: Sign, risk: Risk | None, width_mm: float, height_mm: float) -> bytes:
    size = (round(width_mm * _PX_PER_MM), round(height_mm * _PX_PER_MM))
    if sign is Sign.MARK_SAMPLE:
        drawn = _mark_sample(risk if risk is not None else Risk.HIGH, size)
    else:
        big = (size[0] * _SUPERSAMPLING, size[1] * _SUPERSAMPLING)
        canvas = Image.new("RGBA", big, (255, 255, 255, 0))
        pen = ImageDraw.Draw(canvas)
        (_draw_electricity if sign is Sign.ELECTRICITY else _draw_alert)(pen, min(big))
        drawn = canvas.resize(size, Image.Resampling.LANCZOS)
    out = BytesIO()
    drawn.save(out, "PNG")
    return out.getvalue()


def _draw_electricity(pen: ImageDraw.ImageDraw, side: int) -> None:
    _triangle(pen, side, 0.0, _BLACK)
    _triangle(pen, side, 0.055, _YELLOW)
    pen.polygon([(x * side, y * side) for x, y in _BOLT], fill=_BLACK)


def _draw_alert(pen: ImageDraw.ImageDraw, side: int) -> None:
    _triangle(pen, side, 0.0, _BLACK)
    _triangle(pen, side, 0.045, _YELLOW)
    pen.polygon(
        [(x * side, y * side) for x, y in ((0.44, 0.36), (0.56, 0.36), (0.53, 0.66), (0.47, 0.66))],
        fill=_BLACK,
    )
    pen.ellipse([0.45 * side, 0.71 * side, 0.55 * side, 0.81 * side], fill=_BLACK)


def _triangle(pen: ImageDraw.ImageDraw, side: int, inset: float, colour: str) -> None:
    """Draw an equilateral triangle with rounded corners, point up, ``inset`` from the largest."""
    radius = 0.065 - inset * 0.55
    height = math.sqrt(3) / 2
    centre_x, centre_y = 0.5, 0.06 + height * 2 / 3
    # Circumradius of the triangle through the centres of the rounded corners.
    reach = 0.5 / (height) - 2 * 0.065 - 2 * (inset - inset * 0.55)
    corners = [
        (centre_x + reach * math.cos(turn), centre_y - reach * math.sin(turn))
        for turn in (math.pi / 2, math.pi / 2 + 2 * math.pi / 3, math.pi / 2 + 4 * math.pi / 3)
    ]
    points = [(x * side, y * side) for x, y in corners]
    pen.polygon(points, fill=colour)
    pen.line([*points, points[0]], fill=colour, width=round(2 * radius * side))
    for x, y in points:
        r = radius * side
        pen.ellipse([x - r, y - r, x + r, y + r], fill=colour)


def _mark_sample(risk: Risk, size: tuple[int, int]) -> Image.Image:
    """Return a piece of grey ground with an outline as it is drawn on photos."""
    width, height = size
    mark = DrawnMark(outline=rectangle(0.36, 0.3, 0.9, 0.7), label="1", risk=risk)
    view = View(
        photo_width_px=width,
        photo_height_px=height,
        width_px=width,
        height_px=height,
        px_per_mm=_PX_PER_MM,
    )
    return draw(Image.new("RGB", size, _SAMPLE_GROUND), [mark], view)
