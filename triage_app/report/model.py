"""What the report holds: headings, sentences, tables, pictures asked for. No Word, no pixels.

A picture is only *asked for* here, by name; ``pictures`` makes the pixels and ``docx_writer``
puts both together. Lengths are millimetres on paper.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from rules import Risk, ZoneId
from triage_app.domain.case import Photo
from triage_app.domain.geometry import Bounds
from triage_app.domain.safing.watch import Watch
from triage_app.imaging.annotate import DrawnMark
from triage_app.imaging.underside import PlanTag


class Look(StrEnum):
    """What a paragraph is for; how that looks is the template's matter."""

    TITLE = "title"
    SUBTITLE = "subtitle"
    DRAFT = "draft"
    BODY = "body"
    SMALL = "small"
    CELL = "cell"
    CELL_BIG = "cell big"
    SIGNAL_WORD = "signal word"
    VERDICT_LABELS = "verdict labels"
    VERDICT = "verdict"
    SIGNATURE = "signature"
    CONTENTS_HEADING = "contents heading"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """A fill and the ink that is legible on it, as six hex digits."""

    fill: str
    ink: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A stretch of words. ``anchor`` makes it a link to the heading with that anchor.

    ``fill`` puts a coloured ground behind the words, as six hex digits.
    """

    text: str
    strong: bool = False
    anchor: str | None = None
    ink: str | None = None
    fill: str | None = None


class Sign(StrEnum):
    """A small picture that we draw ourselves."""

    ELECTRICITY = "electricity"
    ALERT = "alert"
    MARK_SAMPLE = "mark sample"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignPicture:
    """A drawn sign. ``risk`` says whose outline a mark sample shows."""

    name: str
    sign: Sign
    risk: Risk | None = None
    alt: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoPicture:
    """A view of one photo: the part ``crop`` of it, with marks drawn on the copy."""

    name: str
    photo: Photo
    crop: Bounds
    marks: tuple[DrawnMark, ...]
    alt: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotPicture:
    """Temperatures over time, drawn; ``watch`` has at least one reading."""

    name: str
    watch: Watch
    alt: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPicture:
    """The drawn plan of the underside. ``line`` are both ends of the line of travel, fractions."""

    name: str
    tags: tuple[PlanTag, ...]
    emphasised: tuple[ZoneId, ...] = ()
    line: tuple[tuple[float, float], tuple[float, float]] | None = None
    tag_scale: float = 1.0
    alt: str
    width_mm: float
    height_mm: float


Picture = SignPicture | PhotoPicture | PlotPicture | PlanPicture
# What may stand in a line of words, and what in a line of pictures.
InText = SignPicture | PlanPicture
InFigure = PhotoPicture | PlotPicture | PlanPicture


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Texts and small pictures in one flow."""

    texts: tuple[Text | InText, ...]
    look: Look = Look.BODY
    stays_with_next: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """``anchor`` is what links and the contents point to; unique in a report."""

    level: int
    text: str
    anchor: str
    starts_page: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemList:
    items: tuple[Paragraph, ...]
    is_numbered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """``label`` is Figure or Table; ``number`` counts per label from 1."""

    label: str
    number: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    content: tuple[Paragraph, ...]
    tone: Tone | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A data table: one header row that repeats, no merged cells. ``width_fracs`` sum to 1.

    ``stays_together`` asks for all of it on one page; only for short tables.
    """

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    width_fracs: tuple[float, ...]
    caption: Caption | None = None
    stays_together: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One row of cells, such as a hazard notice; with a caption below it is a figure."""

    title: str
    cells: tuple[Cell, ...]
    width_fracs: tuple[float, ...]
    caption: Caption | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """Pictures side by side in one line over one caption."""

    pictures: tuple[InFigure, ...]
    caption: Caption


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """The table of contents, its text already written."""

    entries: tuple[Heading, ...]


Block = Paragraph | Heading | ItemList | Table | Box | Figure | Contents


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportModel:
    """A whole report. ``header_*`` and ``footer`` stand on every page.

    ``statement`` is what the file carries for the report after it to be compared with.
    """

    title: str
    author: str
    subject: str
    issued_by: str
    issued_at: datetime
    header_left: str
    header_right: str
    footer: str
    blocks: tuple[Block, ...]
    statement: str = ""


def pictures_of(blocks: tuple[Block, ...]) -> tuple[Picture, ...]:
    """Return every picture that the blocks ask for, in order; a sign used twice comes twice."""
    found: list[Picture] = []
    for block in blocks:
        if isinstance(block, Figure):
            found.extend(block.pictures)
        for paragraph in paragraphs_of(block):
            found.extend(part for part in paragraph.texts if isinstance(part, InText))
    return tuple(found)


def paragraphs_of(block: Block) -> Iterator[Paragraph]:
    """Yield every paragraph of a block, those in its cells included."""
    match block:
        case Paragraph():
            yield block
        case ItemList():
            yield from block.items
        case Box():
            yield from (paragraph for cell in block.cells for paragraph in cell.content)
        case Table():
            for row in block.rows:
                yield from (paragraph for cell in row for paragraph in cell.content)
        case Heading() | Figure() | Contents():
            return
