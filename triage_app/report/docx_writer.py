"""ReportModel + picture files -> DOCX bytes. Looks up nothing, decides nothing.

The body is written with our own element builders (``wml``), because a report of 60 findings has
thousands of cells and python-docx looks each of them up again; the package, headers, properties
and parts are python-docx's.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta

from docx.document import Document as WordDocument
from docx.opc.constants import RELATIONSHIP_TYPE
from docx.opc.packuri import PackURI
from docx.oxml.ns import qn
from docx.oxml.xmlchemy import BaseOxmlElement
from docx.parts.image import ImagePart
from docx.shared import Mm

from triage_app.report import wml
from triage_app.report.layout import MARGIN_MM, Layout
from triage_app.report.model import (
    Block,
    Box,
    Caption,
    Cell,
    Contents,
    Figure,
    Heading,
    ItemList,
    Look,
    Paragraph,
    PhotoPicture,
    ReportModel,
    SignPicture,
    Table,
    Text,
)
from triage_app.report.pictures import PictureFile
from triage_app.report.template import empty_document
from triage_app.report.zip_fixed import package_bytes

LANGUAGE = "en-GB"
_HEADER_MM = 9.0
_BULLET_NUMBER_ID = 1
_NUMBERED_ABSTRACT_ID = 1
# Between pictures side by side.
_GAP = "  "

_STYLES = {
    Look.TITLE: "Title",
    Look.SUBTITLE: "Subtitle",
    Look.DRAFT: "Draft",
    Look.BODY: "Normal",
    Look.SMALL: "Small",
    Look.CELL: "CellText",
    Look.CELL_BIG: "CellBig",
    Look.SIGNAL_WORD: "SignalWord",
    Look.VERDICT_LABELS: "VerdictLabels",
    Look.VERDICT: "Verdict",
    Look.SIGNATURE: "SignatureLine",
    Look.CONTENTS_HEADING: "TOCHeading",
}


def write_docx(model: ReportModel, files: Mapping[str, PictureFile], layout: Layout) -> bytes:
    """Return the report; the same model and pictures give the same bytes."""
    document = empty_document()
    _set_page(document, layout)
    _write_header_and_footer(document, model, layout)
    _set_properties(document, model)
    writer = _Writer(document=document, files=files, layout=layout)
    for block in model.blocks:
        writer.write(block)
    return package_bytes(document.part.package)


def _set_page(document: WordDocument, layout: Layout) -> None:
    section = document.sections[0]
    section.page_width, section.page_height = Mm(layout.page_width_mm), Mm(layout.page_height_mm)
    section.left_margin = section.right_margin = Mm(MARGIN_MM)
    section.top_margin, section.bottom_margin = Mm(MARGIN_MM), Mm(MARGIN_MM - 2)
    section.header_distance = section.footer_distance = Mm(_HEADER_MM)
    section.gutter = Mm(0)


def _write_header_and_footer(document: WordDocument, model: ReportModel, layout: Layout) -> None:
    section = document.sections[0]
    section.header.is_linked_to_previous = False
    section.footer.is_linked_to_previous = False
    head = _story_paragraph("Header", layout)
    head.extend(wml.runs(model.header_left, strong=True))
    head.extend(wml.runs(f"\t{model.header_right}"))
    foot = _story_paragraph("Footer", layout)
    foot.extend(wml.runs(f"{model.footer}\tPage "))
    foot.extend(wml.field("PAGE", wml.runs("1")))
    foot.extend(wml.runs(" of "))
    foot.extend(wml.field("NUMPAGES", wml.runs("1")))
    for story, paragraph in ((section.header, head), (section.footer, foot)):
        root = story.part.element
        for child in list(root):
            root.remove(child)
        root.append(paragraph)


def _story_paragraph(style_id: str, layout: Layout) -> BaseOxmlElement:
    paragraph = wml.paragraph(style_id)
    tabs = wml.element("tabs")
    tabs.append(wml.element("tab", val="right", pos=wml.twips(layout.text_width_mm)))
    paragraph[0].append(tabs)
    return paragraph


def _set_properties(document: WordDocument, model: ReportModel) -> None:
    core = document.core_properties
    issued = (model.issued_at - (model.issued_at.utcoffset() or timedelta())).replace(tzinfo=None)
    core.title, core.subject = model.title[:255], model.subject[:255]
    core.author, core.last_modified_by = model.author[:255], model.issued_by[:255]
    core.language, core.comments, core.revision = LANGUAGE, "", 1
    core.created = core.modified = issued.replace(microsecond=0)


@dataclass(slots=True, kw_only=True)
class _Writer:
    """Appends blocks to one document and counts what must be unique in it."""

    document: WordDocument
    files: Mapping[str, PictureFile]
    layout: Layout
    relations: dict[str, str] = field(default_factory=dict)
    drawings: int = 0
    bookmarks: int = 0
    lists: int = _BULLET_NUMBER_ID

    def write(self, block: Block) -> None:
        match block:
            case Paragraph():
                self._append(self._paragraph(block))
            case Heading():
                self._append(self._heading(block))
            case ItemList():
                self._write_list(block)
            case Table():
                self._write_table(block)
            case Box():
                self._append(self._box(block))
                # Word joins two tables that touch; this keeps a box apart from what follows.
                self._append(self._spacer())
            case Figure():
                self._write_figure(block)
            case Contents():
                self._write_contents(block)

    def _append(self, child: BaseOxmlElement) -> None:
        self.document.element.body.insert(len(self.document.element.body) - 1, child)

    def _spacer(self) -> BaseOxmlElement:
        paragraph = wml.paragraph("Small")
        spacing = wml.element("spacing", before=0, after=0, line=120, lineRule="exact")
        paragraph[0].append(spacing)
        return paragraph

    def _paragraph(self, block: Paragraph, number_id: int | None = None) -> BaseOxmlElement:
        style_id = _STYLES[block.look]
        if number_id is not None:
            style_id = "ListBullet" if number_id == _BULLET_NUMBER_ID else "ListNumber"
        words = "".join(part.text for part in block.texts if isinstance(part, Text))
        made = wml.paragraph(
            style_id, stays_with_next=block.stays_with_next, number_id=number_id, text=words
        )
        for part in block.texts:
            made.extend(self._text(part) if isinstance(part, Text) else [self._picture(part)])
        return made

    def _text(self, part: Text) -> list[BaseOxmlElement]:
        shown = wml.runs(part.text, strong=part.strong, ink=part.ink, fill=part.fill)
        if part.anchor is None:
            return shown
        return [wml.link(part.anchor, [wml.as_link(run) for run in shown])]

    def _picture(self, picture: SignPicture | PhotoPicture) -> BaseOxmlElement:
        self.drawings += 1
        return wml.picture(
            self._relation_to(picture.name),
            number=self.drawings,
            alt=picture.alt,
            width_mm=picture.width_mm,
            height_mm=picture.height_mm,
        )

    def _relation_to(self, name: str) -> str:
        if name not in self.relations:
            file = self.files[name]
            end = file.media_type.rsplit("/", 1)[-1]
            place = PackURI(f"/word/media/picture{len(self.relations) + 1}.{end}")
            part = ImagePart(place, file.media_type, file.data)
            self.relations[name] = self.document.part.relate_to(part, RELATIONSHIP_TYPE.IMAGE)
        return self.relations[name]

    def _heading(self, block: Heading) -> BaseOxmlElement:
        made = wml.paragraph(f"Heading{block.level}", text=block.text)
        if block.starts_page:
            made[0].insert(1, wml.element("pageBreakBefore"))
        start, end = wml.bookmark(block.anchor, self.bookmarks)
        self.bookmarks += 1
        made.append(start)
        made.extend(wml.runs(block.text))
        made.append(end)
        return made

    def _write_list(self, block: ItemList) -> None:
        number_id = self._new_numbering() if block.is_numbered else _BULLET_NUMBER_ID
        for item in block.items:
            self._append(self._paragraph(item, number_id))

    def _new_numbering(self) -> int:
        """Add a list of its own to the numbering part, so that it starts at 1."""
        self.lists += 1
        made = wml.element("num", numId=self.lists)
        made.append(wml.element("abstractNumId", val=_NUMBERED_ABSTRACT_ID))
        override = wml.element("lvlOverride", ilvl=0)
        override.append(wml.element("startOverride", val=1))
        made.append(override)
        self.document.part.numbering_part.element.append(made)
        return self.lists

    def _write_table(self, block: Table) -> None:
        if block.caption:
            self._append(self._caption(block.caption, "TableCaption"))
        widths = [frac * self.layout.text_width_mm for frac in block.width_fracs]
        made = wml.table("ReportTable", title=block.title, widths_mm=widths, has_header=True)
        head = wml.row(is_header=True)
        for words, width in zip(block.header, widths, strict=True):
            paragraph = self._paragraph(
                Paragraph(texts=(Text(text=words),), look=Look.CELL, stays_with_next=True)
            )
            cell = wml.cell(width)
            cell.append(paragraph)
            head.append(cell)
        made.append(head)
        for row in block.rows:
            made.append(self._row(row, widths))
        if block.stays_together:
            _keep_together(made)
        self._append(made)
        self._append(self._spacer())

    def _row(self, cells: tuple[Cell, ...], widths: list[float]) -> BaseOxmlElement:
        made = wml.row(may_split=_is_long(cells))
        for cell, width in zip(cells, widths, strict=True):
            made.append(self._cell(cell, width))
        return made

    def _cell(self, block: Cell, width_mm: float) -> BaseOxmlElement:
        made = wml.cell(width_mm, fill=block.tone.fill if block.tone else None)
        for paragraph in block.content:
            made.append(self._paragraph(paragraph))
        return made

    def _box(self, block: Box) -> BaseOxmlElement:
        widths = [frac * self.layout.text_width_mm for frac in block.width_fracs]
        made = wml.table("ReportBox", title=block.title, widths_mm=widths, has_header=False)
        row = wml.row()
        for cell, width in zip(block.cells, widths, strict=True):
            row.append(self._cell(cell, width))
        made.append(row)
        return made

    def _write_figure(self, block: Figure) -> None:
        made = wml.paragraph("Figure")
        for number, picture in enumerate(block.pictures):
            if number:
                made.extend(wml.runs(_GAP))
            made.append(self._picture(picture))
        self._append(made)
        self._append(self._caption(block.caption, "Caption"))

    def _caption(self, caption: Caption, style_id: str) -> BaseOxmlElement:
        made = wml.paragraph(style_id)
        made.extend(wml.runs(f"{caption.label} ", strong=True))
        number = wml.runs(str(caption.number), strong=True)
        made.extend(wml.field(f"SEQ {caption.label} \\* ARABIC", number))
        made.extend(wml.runs(f". {caption.text}"))
        return made

    def _write_contents(self, block: Contents) -> None:
        """Write the contents as a field whose result stands there already.

        Without page numbers: only Word knows them, and a wrong one is worse than a link.
        """
        last = len(block.entries) - 1
        levels = max(entry.level for entry in block.entries)
        opening, closing = _split_field(f'TOC \\o "1-{levels}" \\n \\h \\z')
        for number, entry in enumerate(block.entries):
            made = wml.paragraph(f"TOC{entry.level}", text=entry.text)
            if number == 0:
                made.extend(opening)
            made.append(wml.link(entry.anchor, wml.runs(entry.text)))
            if number == last:
                made.extend(closing)
            self._append(made)


def _split_field(instruction: str) -> tuple[list[BaseOxmlElement], list[BaseOxmlElement]]:
    parts = wml.field(instruction, [])
    return parts[:-1], parts[-1:]


def _keep_together(table: BaseOxmlElement) -> None:
    """Ask for the whole table on one page: every row but the last stays with the next."""
    _keep_with_next(table.xpath("./w:tr[position() < last()]//w:p"))


def _keep_with_next(paragraphs: Iterable[BaseOxmlElement]) -> None:
    for paragraph in paragraphs:
        if paragraph[0].find(qn("w:keepNext")) is None:
            paragraph[0].insert(1, wml.element("keepNext"))


# More than this in one row may be taller than a page; such a row has to be allowed to break.
_LONG_ROW_CHARACTERS = 700


def _is_long(cells: tuple[Cell, ...]) -> bool:
    return any(_length(cell) > _LONG_ROW_CHARACTERS for cell in cells)


def _length(cell: Cell) -> int:
    texts = [part for paragraph in cell.content for part in paragraph.texts]
    if any(isinstance(part, SignPicture) for part in texts):
        return 0
    return sum(
        len(part.text) + 60 * part.text.count("\n") for part in texts if isinstance(part, Text)
    )
