"""What the services need of the outside world. ``storage`` makes these real.

Every method may raise StorageError when the place behind it cannot be read or written.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from rules import HvFlag, Risk
from triage_app.domain.accounts import Account, PeopleEntry
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.ids import AccountId, CaseId, Sha256
from triage_app.domain.journal import JournalEntry
from triage_app.domain.sessions import Session
from triage_app.domain.signed import Signed


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
# Looks at the case before and after a command and raises to refuse it; then nothing is stored.
Check = Callable[[Case, Case], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """The case before and after a command. The two are equal when there was nothing to do."""

    before: Case
    after: Case


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseWithJournal:
    """A case and all entries of its journal, both as they were at one moment."""

    case: Case
    entries: tuple[JournalEntry, ...]


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

    def apply(
        self, case_id: CaseId, command: AnyCommand, signed: Signed, *, check: Check | None = None
    ) -> Applied:
        """Apply ``command`` to the freshly loaded case and store it with its journal entry.

        Tried again when somebody else wrote in between. A command that changes nothing writes
        nothing. Errors of the command, and of ``check``, pass through; then nothing is stored.
        """
        ...

    def with_journal(self, case_id: CaseId) -> CaseWithJournal:
        """Return the case and its journal in one consistent read; raises NotFoundError."""
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


ChangePeople = Callable[[Sequence[Account]], tuple[Account, PeopleEntry | None]]


class AccountStore(Protocol):
    """People's accounts, and the record of what was done to them."""

    def all(self) -> list[Account]:
        """Return every account, disabled ones too, by name."""
        ...

    def get(self, account_id: AccountId) -> Account | None: ...

    def apply(self, change: ChangePeople) -> Account:
        """Store the account that ``change`` makes of all accounts, with its entry, or neither.

        No other change comes in between. What ``change`` raises passes through; it may be called
        more than once and has no effect of its own.
        """
        ...

    def log(self, *, limit: int = 200) -> list[PeopleEntry]:
        """Return the newest entries, newest first."""
        ...


class SessionStore(Protocol):
    """Sign-in sessions; tokens are kept only as hashes."""

    def add(self, token_sha256: Sha256, session: Session) -> None: ...

    def find(self, token_sha256: Sha256) -> Session | None: ...

    def of(self, account_id: AccountId) -> list[Session]:
        """Return the sessions of a person, the last used one first."""
        ...

    def touch(self, token_sha256: Sha256, at: datetime) -> None: ...

    def lock(self, token_sha256: Sha256) -> None: ...

    def unlock(self, token_sha256: Sha256, at: datetime) -> None: ...

    def remove(self, token_sha256: Sha256) -> None: ...

    def end(self, account_id: AccountId, session_id: str) -> None:
        """End one session of this person; harmless when it is over or somebody else's."""
        ...

    def end_all(self, account_id: AccountId, *, but: Sha256 | None = None) -> int:
        """End every session of a person, but for the one with this token; return how many."""
        ...


class ShopStore(Protocol):
    """What a shop keeps beside its cases, such as measured cards: short texts by name."""

    def put(self, name: str, text: str) -> None:
        """Keep ``text`` under ``name``; what was there is replaced."""
        ...

    def all(self) -> dict[str, str]: ...


Clock = Callable[[], datetime]
NewId = Callable[[], str]
