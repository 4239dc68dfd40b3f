"""Reading a finished Word file in tests: parts, relationships, paragraphs, tables, pictures."""

import posixpath
import re
import zipfile
from collections.abc import Iterator
from io import BytesIO

from lxml import etree
from lxml.etree import _Element as Element

NAMESPACES = {
    "w": "http://schemas.openxmlformats.org/wordprocessingml/2006/main",
    "wp": "http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing",
    "r": "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    "rel": "http://schemas.openxmlformats.org/package/2006/relationships",
    "ct": "http://schemas.openxmlformats.org/package/2006/content-types",
}
W = f"{{{NAMESPACES['w']}}}"
R = f"{{{NAMESPACES['r']}}}"
DOCUMENT = "word/document.xml"


class WordFile:
    """One DOCX; every XML part is parsed when asked for, without entities or network."""

    def __init__(self, data: bytes) -> None:
        self.packed = zipfile.ZipFile(BytesIO(data))
        self.names = self.packed.namelist()

    def part(self, name: str) -> Element:
        parser = etree.XMLParser(resolve_entities=False, no_network=True)
        return etree.fromstring(self.packed.read(name), parser)

    @property
    def xml_names(self) -> list[str]:
        return [name for name in self.names if name.endswith((".xml", ".rels"))]

    @property
    def stories(self) -> list[Element]:
        """The texts of the file: document, headers, footers."""
        shown = re.compile(r"word/(document|header\d*|footer\d*)\.xml")
        return [self.part(name) for name in self.names if shown.fullmatch(name)]

    @property
    def body(self) -> Element:
        return found(self.part(DOCUMENT), "w:body")[0]

    def relations_of(self, name: str) -> dict[str, str]:
        """Return target part names by relationship id; empty when the part has none."""
        folder, file = posixpath.split(name)
        relations = posixpath.join(folder, "_rels", f"{file}.rels")
        if relations not in self.names:
            return {}
        return {
            relation.get("Id", ""): posixpath.normpath(
                posixpath.join(folder, relation.get("Target", "")).lstrip("/")
            )
            for relation in found(self.part(relations), "rel:Relationship")
        }

    @property
    def pictures(self) -> dict[str, bytes]:
        return {n: self.packed.read(n) for n in self.names if n.startswith("word/media/")}

    @property
    def text(self) -> str:
        """All words of the body, a line per paragraph."""
        return "\n".join(text_of(paragraph) for paragraph in self.body.iter(f"{W}p"))

    @property
    def headings(self) -> list[tuple[int, str]]:
        found_: list[tuple[int, str]] = []
        for paragraph in self.body.iter(f"{W}p"):
            level = re.fullmatch(r"Heading(\d)", style_of(paragraph))
            if level:
                found_.append((int(level[1]), text_of(paragraph)))
        return found_

    @property
    def alt_texts(self) -> list[str]:
        return [drawing.get("descr", "") for drawing in found(self.body, ".//wp:docPr")]

    @property
    def tables(self) -> list[Element]:
        return list(self.body.iter(f"{W}tbl"))

    def table(self, title: str) -> list[list[str]]:
        """Return the cells of the table with this title, header row first."""
        for table in self.tables:
            if title_of(table) == title:
                return cells_of(table)
        raise AssertionError(f"no table called {title!r}")


def found(element: Element, path: str) -> list[Element]:
    return list(element.findall(path, NAMESPACES))


def value(element: Element, path: str) -> str | None:
    """Return the ``w:val`` of the first element on the path, or None."""
    hit = element.find(path, NAMESPACES)
    return None if hit is None else hit.get(f"{W}val")


def style_of(paragraph: Element) -> str:
    return value(paragraph, "w:pPr/w:pStyle") or ""


def text_of(element: Element) -> str:
    return "".join(_words(element))


def _words(element: Element) -> Iterator[str]:
    for child in element.iter(f"{W}t", f"{W}br", f"{W}tab"):
        parent = child.getparent()
        if child.tag == f"{W}t":
            yield child.text or ""
        elif parent is not None and parent.tag == f"{W}r":
            yield "\n" if child.tag == f"{W}br" else "\t"


def title_of(table: Element) -> str:
    return value(table, "w:tblPr/w:tblCaption") or ""


def cells_of(table: Element) -> list[list[str]]:
    return [
        [
            "\n".join(text_of(paragraph) for paragraph in found(cell, "w:p"))
            for cell in found(row, "w:tc")
        ]
        for row in found(table, "w:tr")
    ]
