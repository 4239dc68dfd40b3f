"""What the services need of the outside world. ``storage`` makes these real.

Every method may raise StorageError when the place behind it cannot be read or written.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from rules import HvFlag, Risk
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.journal import JournalEntry
from triage_app.domain.signed import Operator, Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSummary:
    """What a list shows of a case. ``risk`` None is "not assessed" (no finding yet)."""

    case_id: CaseId
    reference: str
    vehicle: str
    opened: Signed
    changed_at: datetime
    photo_count: int
    finding_count: int
    hv_flagged_count: int
    hv_flag: HvFlag
    risk: Risk | None


Summarise = Callable[[Case, datetime], CaseSummary]


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """The case before and after a command. The two are equal when there was nothing to do."""

    before: Case
    after: Case


class CaseStore(Protocol):
    """Cases and their journals. A change and its journal entry are one transaction."""

    def create(self, case: Case, signed: Signed) -> Case:
        """Store a new case with its first entry ("case opened").

        The same id a second time returns the stored case. Raises InvalidInputError when the
        reference is taken by another case.
        """
        ...

    def get(self, case_id: CaseId) -> Case:
        """Return the case; raises NotFoundError."""
        ...

    def id_of(self, reference: str) -> CaseId:
        """Return the id of the case with this reference; raises NotFoundError."""
        ...

    def summaries(
        self, *, limit: int = 200, offset: int = 0, search: str = ""
    ) -> list[CaseSummary]:
        """Return summaries, newest change first; ``search`` looks in reference and vehicle."""
        ...

    def count(self, *, search: str = "") -> int: ...

    def apply(self, case_id: CaseId, command: AnyCommand, signed: Signed) -> Applied:
        """Apply ``command`` to the freshly loaded case and store it with its journal entry.

        Tried again when somebody else wrote in between. A command that changes nothing writes
        nothing. Errors of the command pass through; then nothing is stored.
        """
        ...

    def journal(self, case_id: CaseId) -> list[JournalEntry]:
        """Return all entries in order; raises NotFoundError."""
        ...

    def insert_whole(self, case: Case, entries: Iterable[JournalEntry]) -> None:
        """Store an imported case with its journal as it is; InvalidInputError if it exists."""
        ...

    def blob_names(self) -> set[Sha256]:
        """Return the hash of every blob that any case refers to."""
        ...


class BlobStore(Protocol):
    """Bytes under their own SHA-256. What is stored never changes."""

    def put(self, data: bytes) -> Sha256:
        """Store ``data`` (write, sync, rename) and return its name; harmless when repeated."""
        ...

    def get(self, sha256: Sha256) -> bytes:
        """Return the bytes; NotFoundError if absent, StorageError if their hash differs."""
        ...

    def exists(self, sha256: Sha256) -> bool: ...

    def names(self, *, settled_for: timedelta = timedelta(0)) -> set[Sha256]:
        """Return the name of every blob that was not stored anew within ``settled_for``."""
        ...

    def delete(self, sha256: Sha256) -> None:
        """Remove an orphan. Only ``tidy`` calls this, and only when told."""
        ...


class SessionStore(Protocol):
    """Sign-in sessions; tokens are kept only as hashes."""

    def add(self, token_sha256: Sha256, operator: Operator, at: datetime) -> None: ...

    def find(self, token_sha256: Sha256) -> tuple[Operator, datetime] | None:
        """Return who holds the session and when it was last used, or None."""
        ...

    def touch(self, token_sha256: Sha256, at: datetime) -> None: ...

    def remove(self, token_sha256: Sha256) -> None: ...


class ShopStore(Protocol):
    """What a shop keeps beside its cases, such as measured cards: short texts by name."""

    def put(self, name: str, text: str) -> None:
        """Keep ``text`` under ``name``; what was there is replaced."""
        ...

    def all(self) -> dict[str, str]: ...


Clock = Callable[[], datetime]
NewId = Callable[[], str]
