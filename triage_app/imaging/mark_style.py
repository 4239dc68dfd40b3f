"""How a mark looks, by risk: one table for the canvas in the app and the pictures in the report.

Risk is told three ways at once (word, pattern, colour), so that it survives a black-and-white
print and a colour-blind reader. Every outline has a dark casing under a light core, so that it
shows on any background; the colour is the middle tone between the two.
"""

from dataclasses import dataclass

from rules import Risk


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkStyle:
    """One row of the table below.

    ``colour`` and ``ink`` (text on that colour) are #RRGGBB; ``dash`` is line and gap lengths in
    units of the line width, empty for a solid line; ``pattern`` names the fill.
    """

    word: str
    colour: str
    ink: str
    dash: tuple[float, ...]
    pattern: str


MARK_STYLES: dict[Risk, MarkStyle] = {
    Risk.HIGH: MarkStyle(word="High", colour="#9B2423", ink="#FFFFFF", dash=(), pattern="cross"),
    Risk.SERIOUS: MarkStyle(
        word="Serious", colour="#B85008", ink="#FFFFFF", dash=(6, 2), pattern="diagonal"
    ),
    Risk.MEDIUM: MarkStyle(
        word="Medium", colour="#F9A800", ink="#1B1B1C", dash=(3, 2), pattern="dots"
    ),
    Risk.LOW: MarkStyle(
        word="Low", colour="#005387", ink="#FFFFFF", dash=(1, 1.5), pattern="plain"
    ),
    Risk.ELIMINATED: MarkStyle(
        word="Eliminated", colour="#4A4F55", ink="#FFFFFF", dash=(1, 4), pattern="plain"
    ),
}
