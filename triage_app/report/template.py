"""The empty Word document that each report starts from, put together from our own small parts.

``template/*.xml`` say how the report looks: change the look there. There is no text in them.
"""

import io
import zipfile
from importlib import resources

from docx import Document
from docx.document import Document as WordDocument

_WORD = "application/vnd.openxmlformats-officedocument.wordprocessingml."
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
_RELATION_TYPE = "application/vnd.openxmlformats-package.relationships+xml"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/"
_DECLARATION = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_PARTS = ("styles", "settings", "numbering")

_DOCUMENT = (
    _DECLARATION
    + '<w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main" '
    f'xmlns:r="{_RELATIONS.rstrip("/")}"><w:body><w:sectPr/></w:body></w:document>'
)


def empty_document() -> WordDocument:
    """Return a new document with our styles and nothing else."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as package:
        package.writestr("[Content_Types].xml", _content_types())
        package.writestr("_rels/.rels", _relations({"officeDocument": "word/document.xml"}))
        package.writestr(
            "word/_rels/document.xml.rels", _relations({part: f"{part}.xml" for part in _PARTS})
        )
        package.writestr("word/document.xml", _DOCUMENT)
        folder = resources.files("triage_app.report") / "template"
        for part in _PARTS:
            package.writestr(f"word/{part}.xml", (folder / f"{part}.xml").read_bytes())
    packed.seek(0)
    return Document(packed)


def _content_types() -> str:
    overrides = {"document": "document.main", **{part: part for part in _PARTS}}
    return (
        f'{_DECLARATION}<Types xmlns="{_PACKAGE}content-types">'
        f'<Default Extension="rels" ContentType="{_RELATION_TYPE}"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        + "".join(
            f'<Override PartName="/word/{part}.xml" ContentType="{_WORD}{kind}+xml"/>'
            for part, kind in overrides.items()
        )
        + "</Types>"
    )


def _relations(targets: dict[str, str]) -> str:
    listed = "".join(
        f'<Relationship Id="rId{number}" Type="{_RELATIONS}{kind}" Target="{target}"/>'
        for number, (kind, target) in enumerate(targets.items(), start=1)
    )
    return f'{_DECLARATION}<Relationships xmlns="{_PACKAGE}relationships">{listed}</Relationships>'
