"""The statement of a report travels inside its file, as custom XML (ISO/IEC 29500-1, 15.2.5)."""

import io
import zipfile

from docx.opc.constants import CONTENT_TYPE, RELATIONSHIP_TYPE
from docx.opc.packuri import PackURI
from docx.opc.part import Part
from docx.parts.document import DocumentPart
from lxml import etree

from triage_app.domain.errors import InvalidInputError
from triage_app.report.statement import Statement, statement_from_json

_PLACE = "customXml/item1.xml"
_ROOT = "{urn:underbody:statement}statement"
# A statement of 500 findings takes well under a megabyte.
_MOST_BYTES = 20_000_000


def put_statement(document: DocumentPart, text: str) -> None:
    """Add the statement, as JSON in ASCII, to the file of a report."""
    root = etree.Element(_ROOT)
    root.text = text
    data = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    part = Part(PackURI(f"/{_PLACE}"), CONTENT_TYPE.XML, data, document.package)
    document.relate_to(part, RELATIONSHIP_TYPE.CUSTOM_XML)


def statement_in(docx: bytes) -> Statement | None:
    """Return what a report states, or None where its file carries no statement.

    Raises InvalidInputError for a file or a statement that cannot be read.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(docx)) as packed:
            if _PLACE not in packed.namelist():
                return None
            if packed.getinfo(_PLACE).file_size > _MOST_BYTES:
                raise InvalidInputError("What the earlier report states is too long to be read.")
            data = packed.read(_PLACE)
        parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
        root = etree.fromstring(data, parser)
    except (zipfile.BadZipFile, etree.XMLSyntaxError) as error:
        raise InvalidInputError("The file of the earlier report cannot be read.") from error
    return statement_from_json(root.text or "") if root.tag == _ROOT else None
