"""The journal: who did what and when, each entry chained to the one before by SHA-256.

The chain shows an edit, a removal or a reordering. A cut tail or a full rewrite shows only
against a head hash that was kept elsewhere, such as the one printed in an issued report.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from triage_app.domain.ids import CaseId
from triage_app.domain.signed import Signed

FIRST_PREVIOUS_HASH = "0" * 64


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalEntry:
    """One change. ``detail`` is canonical JSON: the command, and its subject before and after.

    ``case_sha256`` is the hash of the stored case after the change.
    """

    case_id: CaseId
    sequence: int
    signed: Signed
    kind: str
    detail: str
    case_sha256: str
    previous_hash: str
    entry_hash: str


def entry_hash(
    *,
    case_id: CaseId,
    sequence: int,
    signed: Signed,
    kind: str,
    detail: str,
    case_sha256: str,
    previous_hash: str,
) -> str:
    """Return the SHA-256 over every field of an entry; fields are length-prefixed, so unique."""
    digest = hashlib.sha256()
    for field in (
        case_id,
        str(sequence),
        signed.by,
        signed.at.isoformat(),
        kind,
        detail,
        case_sha256,
        previous_hash,
    ):
        raw = field.encode()
        digest.update(str(len(raw)).encode() + b":" + raw)
    return digest.hexdigest()


def first_bad_entry(
    entries: Iterable[JournalEntry], *, case_id: CaseId | None = None
) -> int | None:
    """Return the sequence number at which the chain breaks, or None if it is whole.

    Entries must come in stored order, from sequence 1 on. With ``case_id`` an entry of another
    case is bad, also where that case's whole chain was put in the place of this one's.
    """
    previous_hash = FIRST_PREVIOUS_HASH
    for expected, entry in enumerate(entries, start=1):
        computed = entry_hash(
            case_id=entry.case_id,
            sequence=entry.sequence,
            signed=entry.signed,
            kind=entry.kind,
            detail=entry.detail,
            case_sha256=entry.case_sha256,
            previous_hash=entry.previous_hash,
        )
        whole = (
            entry.sequence == expected
            and case_id in (None, entry.case_id)
            and entry.previous_hash == previous_hash
            and entry.entry_hash == computed
        )
        if not whole:
            return expected
        previous_hash = entry.entry_hash
    return None
