"""ReportModel + picture files -> DOCX bytes. Looks up nothing, decides nothing.

The body is written with our own element builders (``wml``), because a report of 60 findings has
thousands of cells and python-docx looks each of them up again; the package, headers, properties
and parts are python-docx's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from docx.document import Document as WordDocument
from docx.opc.constants import RELATIONSHIP_TYPE
from docx.opc.packuri import PackURI
from docx.oxml.xmlchemy import BaseOxmlElement
from docx.parts.image import ImagePart

from triage_app.report import wml
from triage_app.report.carried import put_statement
from triage_app.report.layout import Layout
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
    Picture,
    ReportModel,
    SignPicture,
    Table,
    Text,
)
from triage_app.report.page_frame import set_page, set_properties, write_header_and_footer
from triage_app.report.pictures import PictureFile
from triage_app.report.template import empty_document
from triage_app.report.zip_fixed import package_bytes

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
    set_page(document, layout)
    write_header_and_footer(document, model, layout)
    set_properties(document, model)
    body = document.element.body
    section = body[-1]
    writer = _Writer(document=document, body=body, files=files, layout=layout)
    for block in model.blocks:
        writer.write(block)
    # The section closes the body.
    body.append(section)
    if model.statement:
        put_statement(document.part, model.statement)
    return package_bytes(document.part.package)


@dataclass(slots=True, kw_only=True)
class _Writer:
    """Appends blocks to one document and counts what must be unique in it."""

    document: WordDocument
    body: BaseOxmlElement
    files: Mapping[str, PictureFile]
    layout: Layout
    relations: dict[str, str] = field(default_factory=dict)
    drawings: int = 0
    bookmarks: int = 0
    lists: int = _BULLET_NUMBER_ID

    def write(self, block: Block) -> None:
        match block:
            case Paragraph():
                self._paragraph(self.body, block)
            case Heading():
                self._heading(block)
            case ItemList():
                self._list(block)
            case Table():
                self._table(block)
            case Box():
                self._box(block)
            case Figure():
                self._figure(block)
            case Contents():
                self._contents(block)

    def _paragraph(
        self,
        parent: BaseOxmlElement,
        block: Paragraph,
        *,
        number_id: int | None = None,
        stays_with_next: bool = False,
    ) -> None:
        style_id = _STYLES[block.look]
        if number_id is not None:
            style_id = "ListBullet" if number_id == _BULLET_NUMBER_ID else "ListNumber"
        made = wml.add_paragraph(
            parent,
            style_id,
            stays_with_next=stays_with_next or block.stays_with_next,
            number_id=number_id,
            text="".join(part.text for part in block.texts if isinstance(part, Text)),
        )
        for part in block.texts:
            if isinstance(part, Text):
                _add_text(made, part)
            else:
                self._picture(made, part)

    def _picture(self, parent: BaseOxmlElement, picture: Picture) -> None:
        self.drawings += 1
        wml.add_picture(
            parent,
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

    def _heading(self, block: Heading) -> None:
        made = wml.add_paragraph(
            self.body, f"Heading{block.level}", starts_page=block.starts_page, text=block.text
        )
        wml.add(made, "bookmarkStart", id=self.bookmarks, name=block.anchor)
        wml.add_words(made, block.text)
        wml.add(made, "bookmarkEnd", id=self.bookmarks)
        self.bookmarks += 1

    def _list(self, block: ItemList) -> None:
        number_id = self._new_numbering() if block.is_numbered else _BULLET_NUMBER_ID
        for item in block.items:
            self._paragraph(self.body, item, number_id=number_id)

    def _new_numbering(self) -> int:
        """Add a list of its own to the numbering part, so that it starts at 1."""
        self.lists += 1
        made = wml.add(self.document.part.numbering_part.element, "num", numId=self.lists)
        wml.add(made, "abstractNumId", val=_NUMBERED_ABSTRACT_ID)
        override = wml.add(made, "lvlOverride", ilvl=0)
        wml.add(override, "startOverride", val=1)
        return self.lists

    def _table(self, block: Table) -> None:
        if block.caption:
            self._caption(block.caption, "TableCaption")
        widths = [frac * self.layout.text_width_mm for frac in block.width_fracs]
        table = wml.add_table(
            self.body, "ReportTable", title=block.title, widths_mm=widths, has_header=True
        )
        header = tuple(
            Cell(content=(Paragraph(texts=(Text(text=words),), look=Look.CELL),))
            for words in block.header
        )
        head = wml.add_row(table, is_header=True)
        self._cells(head, header, widths, stays_with_next=True)
        for number, cells in enumerate(block.rows, start=1):
            row = wml.add_row(table, may_split=_is_long(cells))
            stays = block.stays_together and number < len(block.rows)
            self._cells(row, cells, widths, stays_with_next=stays)
        wml.add_spacer(self.body)

    def _box(self, block: Box) -> None:
        widths = [frac * self.layout.text_width_mm for frac in block.width_fracs]
        table = wml.add_table(
            self.body, "ReportBox", title=block.title, widths_mm=widths, has_header=False
        )
        stays = block.caption is not None
        self._cells(wml.add_row(table), block.cells, widths, stays_with_next=stays)
        if block.caption:
            self._caption(block.caption, "Caption")
        else:
            wml.add_spacer(self.body)

    def _cells(
        self,
        row: BaseOxmlElement,
        cells: tuple[Cell, ...],
        widths_mm: list[float],
        *,
        stays_with_next: bool = False,
    ) -> None:
        for cell, width_mm in zip(cells, widths_mm, strict=True):
            made = wml.add_cell(row, width_mm, fill=cell.tone.fill if cell.tone else None)
            for paragraph in cell.content:
                self._paragraph(made, paragraph, stays_with_next=stays_with_next)

    def _figure(self, block: Figure) -> None:
        made = wml.add_paragraph(self.body, "Figure")
        for number, picture in enumerate(block.pictures):
            if number:
                wml.add_words(made, _GAP)
            self._picture(made, picture)
        self._caption(block.caption, "Caption")

    def _caption(self, caption: Caption, style_id: str) -> None:
        made = wml.add_paragraph(self.body, style_id)
        wml.add_words(made, f"{caption.label} ", strong=True)
        wml.begin_field(made, f"SEQ {caption.label} \\* ARABIC")
        wml.add_words(made, str(caption.number), strong=True)
        wml.end_field(made)
        wml.add_words(made, f". {caption.text}")

    def _contents(self, block: Contents) -> None:
        """Write the contents as a field whose result stands there already.

        Without page numbers: only Word knows them, and a wrong one is worse than a link.
        """
        levels = max(entry.level for entry in block.entries)
        for number, entry in enumerate(block.entries, start=1):
            made = wml.add_paragraph(self.body, f"TOC{entry.level}", text=entry.text)
            if number == 1:
                wml.begin_field(made, f'TOC \\o "1-{levels}" \\n \\h \\z')
            wml.add_words(wml.add_link(made, entry.anchor), entry.text)
            if number == len(block.entries):
                wml.end_field(made)


def _add_text(parent: BaseOxmlElement, part: Text) -> None:
    if part.anchor:
        link = wml.add_link(parent, part.anchor)
        wml.add_words(link, part.text, strong=part.strong, style_id="Hyperlink")
    else:
        wml.add_words(parent, part.text, strong=part.strong, ink=part.ink, fill=part.fill)


# More than this in one row may be taller than a page; such a row has to be allowed to break.
_LONG_ROW_CHARACTERS = 700
_CHARACTERS_OF_A_LINE = 60


def _is_long(cells: tuple[Cell, ...]) -> bool:
    return any(_length(cell) > _LONG_ROW_CHARACTERS for cell in cells)


def _length(cell: Cell) -> int:
    texts = [part for paragraph in cell.content for part in paragraph.texts]
    if any(isinstance(part, SignPicture) for part in texts):
        return 0
    return sum(
        len(part.text) + _CHARACTERS_OF_A_LINE * part.text.count("\n")
        for part in texts
        if isinstance(part, Text)
    )
