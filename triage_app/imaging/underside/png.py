"""The drawing of the underside as PNG for print: same input, same bytes."""

from collections.abc import Iterable, Sequence
from io import BytesIO

from PIL import Image, ImageDraw, ImageFont

from rules import ZoneId
from triage_app.imaging.mark_strokes import dashed
from triage_app.imaging.underside.drawing import PlanTag, elements
from triage_app.imaging.underside.shapes import HEIGHT, WIDTH, Point, Stroke, Word

_SUPERSAMPLING = 2
_COLOURS = 128


def underside_png(
    tags: Sequence[PlanTag] = (),
    *,
    height_px: int,
    emphasised: Iterable[ZoneId] = (),
    tag_scale: float = 1.0,
    line: tuple[Point, Point] | None = None,
) -> bytes:
    """Return the drawing at this height; its width follows from the frame of the plan."""
    scale = height_px * _SUPERSAMPLING / HEIGHT
    size = (round(WIDTH * scale), height_px * _SUPERSAMPLING)
    canvas = Image.new("RGB", size, "white")
    pen = ImageDraw.Draw(canvas)
    for one in elements(tags, emphasised=emphasised, tag_scale=tag_scale, line=line):
        if isinstance(one, Stroke):
            _draw_stroke(pen, one, scale)
        else:
            _draw_word(pen, one, scale)
    small = canvas.resize((round(WIDTH * height_px / HEIGHT), height_px), Image.Resampling.BOX)
    out = BytesIO()
    # A drawing of few colours: a palette makes it a third of the size.
    small.quantize(_COLOURS, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def _draw_stroke(pen: ImageDraw.ImageDraw, one: Stroke, scale: float) -> None:
    points: list[Point] = [(x * scale, y * scale) for x, y in one.points]
    if one.fill and one.is_closed:
        pen.polygon(points, fill=one.fill)
    if not one.ink:
        return
    width = max(1, round(one.width * scale))
    line = [*points, points[0]] if one.is_closed else points
    if one.dash:
        for piece in dashed(line, one.dash, scale, 0):
            pen.line(piece, fill=one.ink, width=width, joint="curve")
    else:
        pen.line(line, fill=one.ink, width=width, joint="curve")


def _draw_word(pen: ImageDraw.ImageDraw, one: Word, scale: float) -> None:
    size = one.size * scale
    font = ImageFont.load_default(size=size)
    at = (one.at[0] * scale, one.at[1] * scale)
    pen.text(at, one.text, fill=one.ink, font=font, anchor="mm", stroke_width=size / 40)
