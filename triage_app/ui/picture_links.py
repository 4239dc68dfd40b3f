"""Addresses of pictures, reports and printable sheets on our own session-checked routes."""

from urllib.parse import quote

from triage_app.domain.ids import CaseId, PhotoId, Sha256

# One small size for all, so that a slow HEIC is decoded once for strip and grid together.
SMALL_SIDE_PX = 640
CANVAS_SIDE_PX = 2_048
SIDES_PX = (SMALL_SIDE_PX, CANVAS_SIDE_PX)


def picture_link(case_id: CaseId, photo_id: PhotoId, *, side_px: int | None) -> str:
    """Return the address of a photo at one of ``SIDES_PX``, or at full size for None."""
    side = "full" if side_px is None else str(side_px)
    return f"/pictures/{quote(case_id, safe='')}/{quote(photo_id, safe='')}?side={side}"


def edges_link(case_id: CaseId, photo_id: PhotoId) -> str:
    """Return the address of the picture of a photo's strong edges."""
    return f"/pictures/{quote(case_id, safe='')}/{quote(photo_id, safe='')}/edges"


def revision_link(case_id: CaseId) -> str:
    """Return the address that tells the revision of a case."""
    return f"/revisions/{quote(case_id, safe='')}"


def report_link(case_id: CaseId, sha256: Sha256) -> str:
    """Return the address from which an issued report is downloaded."""
    return f"/reports/{quote(case_id, safe='')}/{quote(sha256, safe='')}"


FINDINGS_FILE = "findings.csv"
MARKS_FILE = "marks.jsonld"


def list_link(case_id: CaseId, file_name: str) -> str:
    """Return the address of one list of a case: FINDINGS_FILE or MARKS_FILE."""
    return f"/lists/{quote(case_id, safe='')}/{file_name}"


def pdf_link(case_id: CaseId, sha256: Sha256) -> str:
    """Return the address of an issued report as PDF."""
    return f"{report_link(case_id, sha256)}/pdf"


RULE_BOOK_LINK = "/rule-book.docx"


def card_link(paper: str) -> str:
    """Return the address of the sheet of scale cards for one size of paper."""
    return f"/scale-cards-{paper}.pdf"
