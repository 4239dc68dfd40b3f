"""Small builders of WordprocessingML elements (ISO/IEC 29500-1, part 17), one per thing we use.

Each adds to a parent and returns what it added: that is several times faster than making elements
on their own and moving them. Children are added in schema order, since Word refuses some files
that are out of order.
"""

import re
from typing import cast

from docx.oxml.ns import nsdecls, nsmap, qn
from docx.oxml.parser import parse_xml
from docx.oxml.xmlchemy import BaseOxmlElement
from lxml import etree

from triage_app.report.plain_text import by_direction, printable, reads_right_to_left

EMU_PER_MM = 36_000
TWIPS_PER_MM = 1440 / 25.4
_W = f"{{{nsmap['w']}}}"
_BREAKS = {"\n": "br", "\t": "tab"}
_SPACE = qn("xml:space")
_DOC_PROPERTIES = 1


def add(parent: BaseOxmlElement, tag: str, **attributes: str | int) -> BaseOxmlElement:
    """Add ``<w:tag>`` with attributes of the same namespace."""
    named = {f"{_W}{name}": str(value) for name, value in attributes.items()}
    return cast(BaseOxmlElement, etree.SubElement(parent, f"{_W}{tag}", named))


def twips(length_mm: float) -> int:
    return round(length_mm * TWIPS_PER_MM)


def add_paragraph(
    parent: BaseOxmlElement,
    style_id: str,
    *,
    stays_with_next: bool = False,
    starts_page: bool = False,
    number_id: int | None = None,
    text: str = "",
) -> BaseOxmlElement:
    """Add an empty paragraph; ``text`` only decides its direction."""
    made = add(parent, "p")
    properties = add(made, "pPr")
    add(properties, "pStyle", val=style_id)
    if stays_with_next:
        add(properties, "keepNext")
    if starts_page:
        add(properties, "pageBreakBefore")
    if number_id is not None:
        numbering = add(properties, "numPr")
        add(numbering, "ilvl", val=0)
        add(numbering, "numId", val=number_id)
    if reads_right_to_left(text):
        add(properties, "bidi")
    return made


def add_spacer(parent: BaseOxmlElement) -> None:
    """Add a thin empty line. Word joins two tables that touch; this keeps them apart."""
    properties = add(add(parent, "p"), "pPr")
    add(properties, "pStyle", val="Small")
    add(properties, "spacing", before=0, after=0, line=120, lineRule="exact")


def add_words(
    parent: BaseOxmlElement,
    text: str,
    *,
    strong: bool = False,
    ink: str | None = None,
    fill: str | None = None,
    style_id: str | None = None,
) -> None:
    """Add the runs of a stretch of words: one per writing direction."""
    for stretch, right_to_left in by_direction(printable(text)):
        made = add(parent, "r")
        properties = add(made, "rPr")
        if style_id:
            add(properties, "rStyle", val=style_id)
        if strong:
            add(properties, "b")
            add(properties, "bCs")
        if ink:
            add(properties, "color", val=ink)
        if fill:
            add(properties, "shd", val="clear", color="auto", fill=fill)
        if right_to_left:
            add(properties, "rtl")
        if not len(properties):
            made.remove(properties)
        _add_text(made, stretch)


def _add_text(run: BaseOxmlElement, text: str) -> None:
    """Add text with its line breaks and tabs as elements of their own."""
    for part in re.split(r"([\n\t])", text):
        if part in _BREAKS:
            add(run, _BREAKS[part])
        elif part:
            made = add(run, "t")
            made.text = part
            if part != part.strip():
                made.set(_SPACE, "preserve")


def begin_field(parent: BaseOxmlElement, instruction: str) -> None:
    """Open a field; what is added until ``end_field`` is its result, already written in."""
    add(add(parent, "r"), "fldChar", fldCharType="begin")
    code = add(add(parent, "r"), "instrText")
    code.text = f" {instruction} "
    code.set(_SPACE, "preserve")
    add(add(parent, "r"), "fldChar", fldCharType="separate")


def end_field(parent: BaseOxmlElement) -> None:
    add(add(parent, "r"), "fldChar", fldCharType="end")


def add_link(parent: BaseOxmlElement, anchor: str) -> BaseOxmlElement:
    """Add a link to a bookmark of this document."""
    return add(parent, "hyperlink", anchor=anchor, history=1)


def add_picture(
    parent: BaseOxmlElement,
    relation_id: str,
    *,
    number: int,
    alt: str,
    width_mm: float,
    height_mm: float,
) -> None:
    """Add a run with a picture in line; ``number`` is unique in the document."""
    cx, cy = round(width_mm * EMU_PER_MM), round(height_mm * EMU_PER_MM)
    drawing = parse_xml(
        f"<w:drawing {nsdecls('w', 'wp', 'a', 'pic', 'r')}>"
        f'<wp:inline distT="0" distB="0" distL="0" distR="0"><wp:extent cx="{cx}" cy="{cy}"/>'
        f'<wp:docPr id="{number}" name="Picture {number}"/>'
        '<wp:cNvGraphicFramePr><a:graphicFrameLocks noChangeAspect="1"/></wp:cNvGraphicFramePr>'
        '<a:graphic><a:graphicData uri="http://schemas.openxmlformats.org/drawingml/2006/picture">'
        f'<pic:pic><pic:nvPicPr><pic:cNvPr id="{number}" name="Picture {number}"/>'
        f'<pic:cNvPicPr/></pic:nvPicPr><pic:blipFill><a:blip r:embed="{relation_id}"/>'
        "<a:stretch><a:fillRect/></a:stretch></pic:blipFill><pic:spPr><a:xfrm>"
        f'<a:off x="0" y="0"/><a:ext cx="{cx}" cy="{cy}"/></a:xfrm>'
        '<a:prstGeom prst="rect"><a:avLst/></a:prstGeom></pic:spPr></pic:pic>'
        "</a:graphicData></a:graphic></wp:inline></w:drawing>"
    )
    # Set apart from the markup above, so that no quote in a description can end an attribute.
    drawing[0][_DOC_PROPERTIES].set("descr", printable(alt))
    add(parent, "r").append(drawing)


def add_table(
    parent: BaseOxmlElement,
    style_id: str,
    *,
    title: str,
    widths_mm: list[float],
    has_header: bool,
) -> BaseOxmlElement:
    """Add a table of fixed column widths without rows."""
    made = add(parent, "tbl")
    properties = add(made, "tblPr")
    add(properties, "tblStyle", val=style_id)
    add(properties, "tblW", w=sum(map(twips, widths_mm)), type="dxa")
    add(properties, "tblLayout", type="fixed")
    add(
        properties,
        "tblLook",
        val="0620" if has_header else "0600",
        firstRow=int(has_header),
        lastRow=0,
        firstColumn=0,
        lastColumn=0,
        noHBand=1,
        noVBand=1,
    )
    add(properties, "tblCaption", val=printable(title))
    grid = add(made, "tblGrid")
    for width_mm in widths_mm:
        add(grid, "gridCol", w=twips(width_mm))
    return made


def add_row(
    table: BaseOxmlElement, *, is_header: bool = False, may_split: bool = False
) -> BaseOxmlElement:
    made = add(table, "tr")
    properties = add(made, "trPr")
    if not may_split:
        add(properties, "cantSplit")
    if is_header:
        add(properties, "tblHeader")
    return made


def add_cell(row: BaseOxmlElement, width_mm: float, *, fill: str | None = None) -> BaseOxmlElement:
    made = add(row, "tc")
    properties = add(made, "tcPr")
    add(properties, "tcW", w=twips(width_mm), type="dxa")
    if fill:
        add(properties, "shd", val="clear", color="auto", fill=fill)
    return made
