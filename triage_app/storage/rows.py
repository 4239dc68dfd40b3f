"""Rows <-> domain values, and nothing that asks a database."""

from sqlalchemy import RowMapping

from rules import HvFlag, Risk
from triage_app.casefile import parse_case
from triage_app.domain.case import CASE_FORMAT, Case
from triage_app.domain.errors import InvalidInputError, StorageError
from triage_app.domain.ids import CaseId
from triage_app.domain.journal import JournalEntry
from triage_app.domain.signed import Signed
from triage_app.services.ports import CaseSummary
from triage_app.storage.tables import read_time, stored_time


def summary_row(summary: CaseSummary) -> dict[str, object]:
    return {
        "vehicle": summary.vehicle,
        "opened_by": summary.opened.by,
        "opened_at": stored_time(summary.opened.at),
        "changed_at": stored_time(summary.changed_at),
        "photo_count": summary.photo_count,
        "finding_count": summary.finding_count,
        "hv_flagged_count": summary.hv_flagged_count,
        "hv_flag": int(summary.hv_flag),
        "risk": None if summary.risk is None else int(summary.risk),
        "search_text": search_text(summary),
    }


def search_text(summary: CaseSummary) -> str:
    """Return what a search looks in. Case is folded here: SQLite folds ASCII only."""
    return f"{summary.reference}\n{summary.vehicle}".casefold()


def summary_from(row: RowMapping) -> CaseSummary:
    return CaseSummary(
        case_id=CaseId(row["id"]),
        reference=row["reference"],
        vehicle=row["vehicle"],
        opened=Signed(by=row["opened_by"], at=read_time(row["opened_at"])),
        changed_at=read_time(row["changed_at"]),
        photo_count=row["photo_count"],
        finding_count=row["finding_count"],
        hv_flagged_count=row["hv_flagged_count"],
        hv_flag=HvFlag(row["hv_flag"]),
        risk=None if row["risk"] is None else Risk(row["risk"]),
    )


def case_row(case: Case, body: str, summary: CaseSummary) -> dict[str, object]:
    return {
        "id": case.id,
        "reference": case.reference,
        "revision": case.revision,
        "format": CASE_FORMAT,
        "body": body,
        **summary_row(summary),
    }


def case_from(body: str) -> Case:
    try:
        return parse_case(body)
    except InvalidInputError as error:
        raise StorageError(f"A stored case cannot be read: {error}") from error


def entry_row(entry: JournalEntry) -> dict[str, object]:
    return {
        "case_id": entry.case_id,
        "sequence": entry.sequence,
        "signed_by": entry.signed.by,
        "signed_at": stored_time(entry.signed.at),
        "kind": entry.kind,
        "detail": entry.detail,
        "case_sha256": entry.case_sha256,
        "previous_hash": entry.previous_hash,
        "entry_hash": entry.entry_hash,
    }


def entry_from(row: RowMapping) -> JournalEntry:
    return JournalEntry(
        case_id=CaseId(row["case_id"]),
        sequence=row["sequence"],
        signed=Signed(by=row["signed_by"], at=read_time(row["signed_at"])),
        kind=row["kind"],
        detail=row["detail"],
        case_sha256=row["case_sha256"],
        previous_hash=row["previous_hash"],
        entry_hash=row["entry_hash"],
    )
