"""Temperatures over time as a picture, for screen and report alike: the same data, same bytes.

Each place has its own colour *and* its own marker, so that it survives a black-and-white print.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from io import BytesIO

from PIL import Image, ImageDraw, ImageFont

from triage_app.domain.safing.watch import PlaceTrend, Watch

_INK = "#14181C"
_GRID = "#C5CDD3"
_COLOURS = ("#1F4257", "#B3261E", "#7A5A00", "#3F6B34")
_STEPS_MIN = (5, 10, 15, 30, 60, 120, 240, 480, 1440, 2880, 10_080)
_STEPS_C = (1, 2, 5, 10, 20, 50, 100, 200)
_SUPERSAMPLING = 2


def temperature_plot(watch: Watch, *, width_px: int, height_px: int) -> bytes:
    """Return a PNG with a line per place, °C over time in UTC; ValueError without a reading."""
    felt = watch.readings
    if not felt:
        raise ValueError("There is no temperature to draw.")
    size = (width_px * _SUPERSAMPLING, height_px * _SUPERSAMPLING)
    canvas = Image.new("RGB", size, "white")
    frame = _Frame(
        [one.at for one in felt], [one.value_c for one in felt], size, height_px * _SUPERSAMPLING
    )
    pen = ImageDraw.Draw(canvas)
    frame.draw_grid(pen)
    for number, trend in enumerate(watch.places):
        _draw_line(pen, frame, trend, number)
    _draw_key(pen, frame, watch.places)
    out = BytesIO()
    canvas.resize((width_px, height_px), Image.Resampling.LANCZOS).save(out, "PNG")
    return out.getvalue()


class _Frame:
    """Where a time and a temperature lie on the picture."""

    def __init__(
        self, times: Sequence[datetime], values: Sequence[float], size: tuple[int, int], high: int
    ) -> None:
        self.unit = high / 24
        self.font = ImageFont.load_default(size=self.unit * 1.05)
        margin = self.unit * 2.6
        self.left, self.top = margin * 1.2, self.unit * 1.8
        self.right, self.bottom = size[0] - margin * 2.4, size[1] - margin
        self.start = min(times)
        self.span = max(max(times) - self.start, timedelta(minutes=30))
        self.low = min(values) - 2
        self.high = max(max(values) + 2, self.low + 6)

    def x(self, at: datetime) -> float:
        return self.left + (at - self.start) / self.span * (self.right - self.left)

    def y(self, value_c: float) -> float:
        share = (value_c - self.low) / (self.high - self.low)
        return self.bottom - share * (self.bottom - self.top)

    def draw_grid(self, pen: ImageDraw.ImageDraw) -> None:
        step_c = next((s for s in _STEPS_C if (self.high - self.low) / s <= 8), _STEPS_C[-1])
        value = (self.low // step_c + 1) * step_c
        while value <= self.high:
            pen.line([(self.left, self.y(value)), (self.right, self.y(value))], fill=_GRID, width=2)
            self._say(pen, (self.left - self.unit * 0.4, self.y(value)), f"{value:g}", "rm")
            value += step_c
        minutes = self.span.total_seconds() / 60
        step_min = next((s for s in _STEPS_MIN if minutes / s <= 8), _STEPS_MIN[-1])
        for count in range(int(minutes // step_min) + 1):
            at = self.start + timedelta(minutes=count * step_min)
            pen.line([(self.x(at), self.top), (self.x(at), self.bottom)], fill=_GRID, width=2)
            label = f"{at:%H:%M}" if step_min < 1440 else f"{at:%m-%d}"
            self._say(pen, (self.x(at), self.bottom + self.unit), label, "mm")
        self._say(pen, (self.left, self.unit * 0.9), "°C", "mm")
        self._say(pen, (self.right + self.unit * 2.6, self.bottom + self.unit), "UTC", "mm")

    def _say(
        self, pen: ImageDraw.ImageDraw, at: tuple[float, float], said: str, anchor: str
    ) -> None:
        pen.text(at, said, fill=_INK, font=self.font, anchor=anchor)


def _draw_line(pen: ImageDraw.ImageDraw, frame: _Frame, trend: PlaceTrend, number: int) -> None:
    colour = _COLOURS[number % len(_COLOURS)]
    places = [(frame.x(one.at), frame.y(one.value_c)) for one in trend.readings]
    if len(places) > 1:
        pen.line(places, fill=colour, width=round(frame.unit / 5))
    half = frame.unit * 0.38
    for place in places:
        _draw_marker(pen, place, half, number)
    x, y = places[-1]
    said = f"{trend.readings[-1].value_c:g} °C"
    pen.text((x + half * 2, y - half), said, fill=colour, font=frame.font, anchor="lm")


def _draw_marker(
    pen: ImageDraw.ImageDraw, at: tuple[float, float], half: float, number: int
) -> None:
    x, y = at
    colour = _COLOURS[number % len(_COLOURS)]
    box = (x - half, y - half, x + half, y + half)
    if number % 3 == 0:
        pen.ellipse(box, fill=colour)
    elif number % 3 == 1:
        pen.rectangle(box, fill=colour)
    else:
        pen.polygon([(x, y - half), (x + half, y + half), (x - half, y + half)], fill=colour)


def _draw_key(pen: ImageDraw.ImageDraw, frame: _Frame, places: Sequence[PlaceTrend]) -> None:
    """Name the place of each line above the plot; what does not fit is left to the table."""
    x, y, half = frame.left + frame.unit * 2, frame.unit * 0.9, frame.unit * 0.38
    for number, trend in enumerate(places):
        end = x + half * 3 + pen.textlength(trend.place, font=frame.font)
        if end > frame.right + frame.unit * 4:
            pen.text((x, y), "…", fill=_INK, font=frame.font, anchor="lm")
            return
        _draw_marker(pen, (x + half, y), half, number)
        pen.text((x + half * 3, y), trend.place, fill=_INK, font=frame.font, anchor="lm")
        x = end + frame.unit * 1.5
