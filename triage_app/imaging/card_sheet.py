"""The printable sheets: scale cards with rulers, and the board for calibrating a lens, as PDF.

Drawn at 600 dots per inch in black and white, so that nothing between here and the printer
smooths an edge; the page of the PDF has exactly the size of the paper.
"""

import io
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from triage_app.imaging.card_design import (
    BOARD_SQUARE_MM,
    BOARD_SQUARES,
    CELLS,
    LONG_CARDS,
    SQUARE_CARDS,
    Card,
    charuco_board,
    pattern,
)

DOTS_PER_INCH = 600
_PER_MM = DOTS_PER_INCH / 25.4

PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
_MARGIN_MM = 9.0
_PAPER_WHITE, _INK = 1, 0

CARD_TEXT = (
    "Scale cards. Print at 100 % (actual size, no fit to page), on stiff matt paper.",
    "1. Check both rulers with a steel rule. 100 mm must be 100 mm; if not, print again at 100 %.",
    "2. Measure one black square of each kind, from edge to edge, in mm. Type that number in once:",
    "    beside any photo on the marking page, or: underbody card --square-mm NN.N --long-mm NN.N",
    "3. Cut along the lines. Keep the white border. Not conductive: no foil, no metal, no clips.",
    "4. Lay or tape cards flat beside the damage, only after the make-safe record stands.",
    "Invented layout of this program; markers of the open dictionary DICT_4X4_50.",
)
BOARD_TEXT = (
    "Lens board. Print at 100 %, tape it flat. Take 8 or more photos with one phone and one zoom, ",
    "from different sides, filling the picture; then: underbody lens PHOTOS. Not for measuring.",
)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """One page; lengths in mm from its top left corner."""

    page: Image.Image

    def box(self, left: float, top: float, right: float, bottom: float) -> None:
        edges = [round(each * _PER_MM) for each in (left, top, right, bottom)]
        if edges[2] > edges[0] and edges[3] > edges[1]:
            pen = ImageDraw.Draw(self.page)
            # Pillow's far corner is drawn too, so it is one dot short of the edge.
            pen.rectangle((edges[0], edges[1], edges[2] - 1, edges[3] - 1), fill=_INK)

    def text(self, left: float, top: float, words: str, *, high_mm: float = 2.9) -> None:
        font = ImageFont.load_default(size=round(high_mm * _PER_MM))
        ImageDraw.Draw(self.page).text((left * _PER_MM, top * _PER_MM), words, fill=_INK, font=font)

    def frame(self, left: float, top: float, wide: float, high: float) -> None:
        thin = 0.12
        for box in (
            (left, top, left + wide, top + thin),
            (left, top + high - thin, left + wide, top + high),
            (left, top, left + thin, top + high),
            (left + wide - thin, top, left + wide, top + high),
        ):
            self.box(*box)


def card_pdf(paper: str) -> bytes:
    """Return the sheet of scale cards for "A4" or "Letter"."""
    sheet = _blank(paper)
    wide_mm = PAPER_MM[paper][0]
    left = (wide_mm - 2 * SQUARE_CARDS[0].width_mm) / 2
    top = _MARGIN_MM
    for index in range(4):
        row, column = divmod(index, 2)
        _card(sheet, SQUARE_CARDS[index], left + 80.0 * column, top + 80.0 * row)
    _card(sheet, LONG_CARDS[0], (wide_mm - LONG_CARDS[0].width_mm) / 2, top + 162.0)
    _ruler_across(sheet, left, top + 219.0)
    _ruler_down(sheet, left - 12.0, top + 20.0)
    for line, words in enumerate(CARD_TEXT):
        sheet.text(left, top + 228.5 + 4.0 * line, words)
    return _pdf(sheet, "Scale cards")


def board_pdf(paper: str) -> bytes:
    """Return the board for calibrating a lens for "A4" or "Letter"."""
    sheet = _blank(paper)
    wide_mm, _ = PAPER_MM[paper]
    across, down = BOARD_SQUARES
    dots = tuple(round(count * BOARD_SQUARE_MM * _PER_MM) for count in (across, down))
    drawn = charuco_board().generateImage(dots, marginSize=0, borderBits=1)
    picture = Image.fromarray((np.asarray(drawn) > 127).astype(np.uint8) * 255).convert("1")
    left = (wide_mm - across * BOARD_SQUARE_MM) / 2
    sheet.page.paste(picture, (round(left * _PER_MM), round(_MARGIN_MM * _PER_MM)))
    under = _MARGIN_MM + down * BOARD_SQUARE_MM + 4.0
    for line, words in enumerate(BOARD_TEXT):
        sheet.text(left, under + 4.0 * line, words)
    return _pdf(sheet, "Lens board")


def _blank(paper: str) -> _Sheet:
    wide_mm, high_mm = PAPER_MM[paper]
    size = (round(wide_mm * _PER_MM), round(high_mm * _PER_MM))
    return _Sheet(Image.new("1", size, _PAPER_WHITE))


def _card(sheet: _Sheet, card: Card, left: float, top: float) -> None:
    sheet.frame(left, top, card.width_mm, card.height_mm)
    for place in card.markers:
        _marker(
            sheet,
            place.id,
            left + card.width_mm / 2 + place.x_mm - card.side_mm / 2,
            top + card.height_mm / 2 + place.y_mm - card.side_mm / 2,
            card.side_mm,
        )
    words = f"{card.number}  {card.kind} card, black square {card.side_mm:g} mm as drawn: ____ mm"
    sheet.text(left + 3.0, top + card.height_mm - 4.2, words, high_mm=2.4)


def _marker(sheet: _Sheet, number: int, left: float, top: float, side_mm: float) -> None:
    cell_mm = side_mm / CELLS
    for row in range(CELLS):
        for column in range(CELLS):
            if not pattern(number)[row, column]:
                x, y = left + column * cell_mm, top + row * cell_mm
                sheet.box(x, y, x + cell_mm, y + cell_mm)


def _ruler_across(sheet: _Sheet, left: float, top: float) -> None:
    for mm in range(101):
        high = 5.0 if mm % 10 == 0 else 3.5 if mm % 5 == 0 else 2.2
        sheet.box(left + mm - 0.05, top, left + mm + 0.05, top + high)
    sheet.text(left + 102.0, top + 1.0, "100 mm across: check it")


def _ruler_down(sheet: _Sheet, left: float, top: float) -> None:
    for mm in range(101):
        wide = 5.0 if mm % 10 == 0 else 3.5 if mm % 5 == 0 else 2.2
        sheet.box(left, top + mm - 0.05, left + wide, top + mm + 0.05)
    sheet.text(left, top + 102.0, "100 mm")


def _pdf(sheet: _Sheet, title: str) -> bytes:
    out = io.BytesIO()
    # A fixed date: the same sheet is the same file.
    drawn = datetime(2031, 1, 1, tzinfo=UTC).timetuple()
    sheet.page.save(
        out, "PDF", resolution=DOTS_PER_INCH, title=title, creationDate=drawn, modDate=drawn
    )
    return out.getvalue()
