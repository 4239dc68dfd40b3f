"""Marks as W3C Web Annotations (JSON-LD), so that other programs can lay them over the photos.

Built to the W3C Recommendation "Web Annotation Data Model" of 23 February 2017. A photo is
named by its SHA-256 (RFC 6920), never by a file path; outlines are SVG in pixels of the upright
photo, as a browser shows it. No place and no camera data go out.
"""

import base64
import uuid
from collections.abc import Mapping
from datetime import datetime

from triage_app.domain.case import Case, Finding, Mark
from triage_app.domain.geometry import Ellipse, Outline, Rings
from triage_app.domain.ids import FindingId, Sha256

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
_SVG = "http://www.w3.org/2000/svg"
# Any fixed one serves: it makes the same name of the same mark each time.
_NAMESPACE = uuid.UUID("7c0f1e0a-51a3-4c0e-9f3e-0e8a6a3d9b52")


def annotations(case: Case, words: Mapping[FindingId, tuple[str, ...]]) -> dict[str, object]:
    """Return every mark of every finding that counts, as one annotation collection.

    ``words`` are the tags of each finding, in the words of the report.
    """
    items = [
        _annotation(case, finding, mark, words[finding.id])
        for finding in case.open_findings
        for mark in finding.marks
    ]
    return {
        "@context": CONTEXT,
        "id": _urn(case.id),
        "type": "AnnotationCollection",
        "label": f"Case {case.reference}, revision {case.revision}",
        "total": len(items),
        "first": {"type": "AnnotationPage", "startIndex": 0, "items": items},
    }


def _annotation(
    case: Case, finding: Finding, mark: Mark, tags: tuple[str, ...]
) -> dict[str, object]:
    photo = case.photo(mark.photo_id)
    body = [{"type": "TextualBody", "purpose": "tagging", "value": tag} for tag in tags]
    note = finding.tags.note
    if note:
        body.append({"type": "TextualBody", "purpose": "describing", "value": note})
    return {
        "id": _urn(f"{case.id}/{mark.id}/{mark.revision}"),
        "type": "Annotation",
        "motivation": "classifying",
        "creator": {"type": "Person", "name": finding.created.by},
        "created": _moment(finding.created.at),
        "body": body,
        "target": {
            "source": {
                "id": named_by(photo.sha256),
                "type": "Image",
                "format": photo.media_type,
            },
            "selector": {
                "type": "SvgSelector",
                "value": _svg(mark.outline, photo.width_px, photo.height_px),
            },
        },
    }


def _svg(outline: Outline, width_px: int, height_px: int) -> str:
    """Return the outline as SVG in pixels of the upright photo; a second ring is a hole."""
    shape = (
        _path(outline, width_px, height_px)
        if isinstance(outline, Rings)
        else _ellipse(outline, width_px, height_px)
    )
    return f'<svg xmlns="{_SVG}" viewBox="0 0 {width_px} {height_px}">{shape}</svg>'


def _path(outline: Rings, width_px: int, height_px: int) -> str:
    rings = (
        "M" + "L".join(f"{p.x_frac * width_px:.2f},{p.y_frac * height_px:.2f}" for p in ring) + "Z"
        for ring in outline.rings
    )
    return f'<path fill-rule="evenodd" d="{"".join(rings)}"/>'


def _ellipse(outline: Ellipse, width_px: int, height_px: int) -> str:
    x_px, y_px = outline.centre.x_frac * width_px, outline.centre.y_frac * height_px
    return (
        f'<ellipse cx="{x_px:.2f}" cy="{y_px:.2f}" rx="{outline.radius_x_px:.2f}" '
        f'ry="{outline.radius_y_px:.2f}" '
        f'transform="rotate({outline.angle_deg:.3f} {x_px:.2f} {y_px:.2f})"/>'
    )


def named_by(sha256: Sha256) -> str:
    """Return the name of a file by its hash, as RFC 6920 writes it."""
    digest = base64.urlsafe_b64encode(bytes.fromhex(sha256)).decode().rstrip("=")
    return f"ni:///sha-256;{digest}"


def _urn(name: str) -> str:
    return uuid.uuid5(_NAMESPACE, name).urn


def _moment(at: datetime) -> str:
    return at.isoformat(timespec="seconds").replace("+00:00", "Z")
