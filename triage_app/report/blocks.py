"""Short ways to write the blocks of a report, and the numbering of figures and tables."""

from dataclasses import dataclass, field

from rules import Risk
from triage_app.report import labels
from triage_app.report.model import (
    Caption,
    Cell,
    Heading,
    ItemList,
    Look,
    Paragraph,
    Sign,
    SignPicture,
    Text,
    Tone,
)


@dataclass(slots=True)
class Numbering:
    """Counts figures and tables as they come."""

    counts: dict[str, int] = field(default_factory=dict)

    def next(self, label: str, text: str) -> Caption:
        self.counts[label] = self.counts.get(label, 0) + 1
        return Caption(label=label, number=self.counts[label], text=text)


def heading(level: int, text: str, anchor: str, *, starts_page: bool = False) -> Heading:
    return Heading(level=level, text=text, anchor=anchor, starts_page=starts_page)


def words(text: str, look: Look = Look.BODY) -> Paragraph:
    return Paragraph(texts=(Text(text=text),), look=look)


def intro(text: str) -> Paragraph:
    """Return the words before a table or figure, on the same page as its beginning."""
    return Paragraph(texts=(Text(text=text),), stays_with_next=True)


def lead(
    strong: str, text: str, look: Look = Look.BODY, *, stays_with_next: bool = False
) -> Paragraph:
    """Return a paragraph that opens with a few strong words."""
    rest = (Text(text=f" {text}"),) if text else ()
    return Paragraph(
        texts=(Text(text=strong, strong=True), *rest), look=look, stays_with_next=stays_with_next
    )


def link(text: str, anchor: str) -> Text:
    return Text(text=text, anchor=anchor)


def bullets(*items: str | Paragraph) -> ItemList:
    return ItemList(items=tuple(words(item) if isinstance(item, str) else item for item in items))


def cell(*parts: str | Text, strong: bool = False, tone: Tone | None = None) -> Cell:
    """Return a cell with one paragraph; a tone colours the ink of plain words too."""
    ink = tone.ink if tone else None
    texts = tuple(
        Text(text=part, strong=strong, ink=ink) if isinstance(part, str) else part for part in parts
    )
    return Cell(content=(Paragraph(texts=texts, look=Look.CELL),), tone=tone)


def risk_words(risk: Risk) -> tuple[Text, ...]:
    """Return a risk level by word, squares and colour, in a line of words."""
    tone = labels.risk_tone(risk)
    said = f" {labels.RISK_SQUARES[risk]} {labels.risk_word(risk)} "
    return (Text(text=said, strong=True, ink=tone.ink, fill=tone.fill),)


def risk_cell(risk: Risk) -> Cell:
    """Return a risk level by word, squares and colour."""
    return cell(
        f"{labels.RISK_SQUARES[risk]} {labels.risk_word(risk)}",
        strong=True,
        tone=labels.risk_tone(risk),
    )


def electricity_sign(side_mm: float) -> SignPicture:
    return SignPicture(
        name=f"sign-electricity-{side_mm:g}",
        sign=Sign.ELECTRICITY,
        alt="Warning sign for electricity: black lightning arrow in a yellow triangle.",
        width_mm=side_mm,
        height_mm=side_mm,
    )


def alert_sign(side_mm: float) -> SignPicture:
    return SignPicture(
        name=f"sign-alert-{side_mm:g}",
        sign=Sign.ALERT,
        alt="Safety alert symbol: exclamation mark in a triangle.",
        width_mm=side_mm,
        height_mm=side_mm,
    )


def mark_sample(risk: Risk) -> SignPicture:
    return SignPicture(
        name=f"mark-sample-{risk.name.lower()}",
        sign=Sign.MARK_SAMPLE,
        risk=risk,
        alt=f"How the mark of a finding of {labels.risk_word(risk)} risk is drawn on a photo.",
        width_mm=38,
        height_mm=15,
    )
