"""Small builders of WordprocessingML elements (ISO/IEC 29500-1, part 17), one per thing we use.

Children are appended in schema order, since Word refuses some files that are out of order.
"""

import re
from typing import cast

from docx.oxml.ns import nsdecls, qn
from docx.oxml.parser import OxmlElement, parse_xml
from docx.oxml.xmlchemy import BaseOxmlElement

from triage_app.report.plain_text import by_direction, printable, reads_right_to_left

EMU_PER_MM = 36_000
TWIPS_PER_MM = 1440 / 25.4
_DOC_PROPERTIES = 1
_BREAKS = {"\n": "br", "\t": "tab"}


def element(tag: str, **attributes: str | int) -> BaseOxmlElement:
    """Return ``<w:tag>`` with attributes of the same namespace."""
    made = OxmlElement(f"w:{tag}")
    for name, value in attributes.items():
        made.set(qn(f"w:{name}"), str(value))
    return cast(BaseOxmlElement, made)


def twips(length_mm: float) -> int:
    return round(length_mm * TWIPS_PER_MM)


def paragraph(
    style_id: str, *, stays_with_next: bool = False, number_id: int | None = None, text: str = ""
) -> BaseOxmlElement:
    """Return an empty paragraph; ``text`` only decides its direction."""
    properties = element("pPr")
    properties.append(element("pStyle", val=style_id))
    if stays_with_next:
        properties.append(element("keepNext"))
    if number_id is not None:
        numbering = element("numPr")
        numbering.append(element("ilvl", val=0))
        numbering.append(element("numId", val=number_id))
        properties.append(numbering)
    if reads_right_to_left(text):
        properties.append(element("bidi"))
    made = element("p")
    made.append(properties)
    return made


def runs(
    text: str, *, strong: bool = False, ink: str | None = None, fill: str | None = None
) -> list[BaseOxmlElement]:
    """Return the runs of a stretch of words: one per writing direction."""
    return [
        _run(stretch, strong=strong, ink=ink, fill=fill, right_to_left=right_to_left)
        for stretch, right_to_left in by_direction(printable(text))
    ]


def _run(
    text: str, *, strong: bool, ink: str | None, fill: str | None, right_to_left: bool
) -> BaseOxmlElement:
    made = element("r")
    properties = element("rPr")
    if strong:
        properties.append(element("b"))
        properties.append(element("bCs"))
    if ink:
        properties.append(element("color", val=ink))
    if fill:
        properties.append(element("shd", val="clear", color="auto", fill=fill))
    if right_to_left:
        properties.append(element("rtl"))
    if len(properties):
        made.append(properties)
    made.extend(_words(text))
    return made


def _words(text: str) -> list[BaseOxmlElement]:
    """Return text with line breaks and tabs as elements of their own."""
    made: list[BaseOxmlElement] = []
    for part in re.split(r"([\n\t])", text):
        if part in _BREAKS:
            made.append(element(_BREAKS[part]))
        elif part:
            made.append(_text(part))
    return made


def _text(text: str) -> BaseOxmlElement:
    made = element("t")
    made.text = text
    if text != text.strip():
        made.set(qn("xml:space"), "preserve")
    return made


def field(instruction: str, shown: list[BaseOxmlElement]) -> list[BaseOxmlElement]:
    """Return the runs of a field with its result already written in."""
    code = element("instrText")
    code.text = f" {instruction} "
    code.set(qn("xml:space"), "preserve")
    parts = [_wrapped(element("fldChar", fldCharType="begin")), _wrapped(code)]
    parts.append(_wrapped(element("fldChar", fldCharType="separate")))
    return [*parts, *shown, _wrapped(element("fldChar", fldCharType="end"))]


def _wrapped(child: BaseOxmlElement) -> BaseOxmlElement:
    made = element("r")
    made.append(child)
    return made


def link(anchor: str, shown: list[BaseOxmlElement]) -> BaseOxmlElement:
    """Return a link to a bookmark of this document."""
    made = element("hyperlink", anchor=anchor, history=1)
    made.extend(shown)
    return made


def as_link(run: BaseOxmlElement) -> BaseOxmlElement:
    """Give a run the look of a link."""
    properties = run.find(qn("w:rPr"))
    if properties is None:
        properties = element("rPr")
        run.insert(0, properties)
    properties.insert(0, element("rStyle", val="Hyperlink"))
    return run


def bookmark(name: str, number: int) -> tuple[BaseOxmlElement, BaseOxmlElement]:
    """Return the start and the end of a bookmark."""
    return element("bookmarkStart", id=number, name=name), element("bookmarkEnd", id=number)


def picture(
    relation_id: str, *, number: int, alt: str, width_mm: float, height_mm: float
) -> BaseOxmlElement:
    """Return a run with a picture in line; ``number`` is unique in the document."""
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
    return _wrapped(drawing)


def table(
    style_id: str, *, title: str, widths_mm: list[float], has_header: bool
) -> BaseOxmlElement:
    """Return a table of fixed column widths without rows."""
    properties = element("tblPr")
    properties.append(element("tblStyle", val=style_id))
    properties.append(element("tblW", w=sum(map(twips, widths_mm)), type="dxa"))
    properties.append(element("tblLayout", type="fixed"))
    first_row = "1" if has_header else "0"
    properties.append(
        element(
            "tblLook",
            val="0020" if has_header else "0000",
            firstRow=first_row,
            lastRow="0",
            firstColumn="0",
            lastColumn="0",
            noHBand="1",
            noVBand="1",
        )
    )
    properties.append(element("tblCaption", val=printable(title)))
    made = element("tbl")
    made.append(properties)
    grid = element("tblGrid")
    grid.extend(element("gridCol", w=twips(width)) for width in widths_mm)
    made.append(grid)
    return made


def row(*, is_header: bool = False, may_split: bool = False) -> BaseOxmlElement:
    made = element("tr")
    properties = element("trPr")
    if not may_split:
        properties.append(element("cantSplit"))
    if is_header:
        properties.append(element("tblHeader"))
    if len(properties):
        made.append(properties)
    return made


def cell(width_mm: float, *, fill: str | None = None) -> BaseOxmlElement:
    properties = element("tcPr")
    properties.append(element("tcW", w=twips(width_mm), type="dxa"))
    if fill:
        properties.append(element("shd", val="clear", color="auto", fill=fill))
    made = element("tc")
    made.append(properties)
    return made
