"""A Word package -> bytes that depend on nothing but its content: no clock, fixed order.

Pictures are stored as they are: deflating a JPEG costs time and saves nothing.
"""

import io
import zipfile
from xml.sax.saxutils import quoteattr

from docx.opc.package import OpcPackage

# The earliest moment that a zip directory can hold.
_NO_MOMENT = (1980, 1, 1, 0, 0, 0)
_STORED = ("jpeg", "jpg", "png")
_CONTENT_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_DEFAULTS = {
    "rels": "application/vnd.openxmlformats-package.relationships+xml",
    "xml": "application/xml",
    "jpeg": "image/jpeg",
    "png": "image/png",
}


def package_bytes(package: OpcPackage) -> bytes:
    """Return the package as a zip: the same content gives the same bytes.

    The layout is that of the Open Packaging Conventions (ISO/IEC 29500-2): content types first,
    then the relationships of the package, then each part with its own.
    """
    parts = sorted(package.iter_parts(), key=lambda part: str(part.partname))
    members: list[tuple[str, bytes]] = [
        ("[Content_Types].xml", _content_types([(p.partname, p.content_type) for p in parts])),
        ("_rels/.rels", _bytes(package.rels.xml)),
    ]
    for part in parts:
        members.append((part.partname.membername, part.blob))
        if len(part.rels):
            members.append((part.partname.rels_uri.membername, _bytes(part.rels.xml)))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, data in members:
            info = zipfile.ZipInfo(name, date_time=_NO_MOMENT)
            is_picture = name.rsplit(".", 1)[-1] in _STORED
            info.compress_type = zipfile.ZIP_STORED if is_picture else zipfile.ZIP_DEFLATED
            info.create_system = 0
            packed.writestr(info, data)
    return out.getvalue()


def _bytes(xml: str | bytes) -> bytes:
    # python-docx declares text here and gives bytes.
    return xml.encode() if isinstance(xml, str) else xml


def _content_types(parts: list[tuple[str, str]]) -> bytes:
    defaults = "".join(
        f"<Default Extension={quoteattr(end)} ContentType={quoteattr(kind)}/>"
        for end, kind in _DEFAULTS.items()
    )
    overrides = "".join(
        f"<Override PartName={quoteattr(name)} ContentType={quoteattr(kind)}/>"
        for name, kind in parts
        if _DEFAULTS.get(name.rsplit(".", 1)[-1]) != kind
    )
    text = (
        '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
        f'<Types xmlns="{_CONTENT_TYPES}">{defaults}{overrides}</Types>'
    )
    return text.encode()
