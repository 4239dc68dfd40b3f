"""Cases and journals in a database, the same for SQLite and PostgreSQL."""

from collections.abc import Iterable

from sqlalchemy import ColumnElement, Connection, Engine, func, insert, select, true, update

from triage_app.casefile import case_to_json
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.journal import JournalEntry
from triage_app.domain.signed import Signed
from triage_app.services.ports import Applied, CaseSummary, CaseWithJournal, Check, Summarise
from triage_app.storage import steps
from triage_app.storage.changes import Change, Head, blobs_of, change_by, opening
from triage_app.storage.engine import one_moment, writing
from triage_app.storage.faults import database_errors
from triage_app.storage.retry import WrittenMeanwhileError, retried
from triage_app.storage.rows import (
    case_from,
    case_row,
    entry_from,
    entry_row,
    summary_from,
)
from triage_app.storage.steps import Step
from triage_app.storage.tables import case_blobs, cases, journal

_SUMMARY_COLUMNS = [column for column in cases.c if column.name not in {"body", "search_text"}]


class SqlCases:
    """A case is one row, changed only together with the journal entry that says why."""

    def __init__(self, engine: Engine, summarise: Summarise) -> None:
        self._engine = engine
        self._summarise = summarise

    def create(self, case: Case, signed: Signed) -> Case:
        return retried(lambda: self._create(case, signed))

    def _create(self, case: Case, signed: Signed) -> Case:
        with writing(self._engine) as connection:
            known = _body(connection, case.id)
            if known is not None:
                return case_from(known)
            _refuse_taken_reference(connection, case.reference)
            steps.reached(Step.CHANGE_BEGUN)
            change = opening(case, signed)
            self._insert_case(connection, change.case, change.body, signed)
            _insert_entries(connection, [change.entry])
            _note_blobs(connection, change.case.id, blobs_of(change.case))
        steps.reached(Step.CHANGE_KEPT)
        return change.case

    def get(self, case_id: CaseId) -> Case:
        with database_errors(), self._engine.connect() as connection:
            return _loaded(connection, case_id)

    def id_of(self, reference: str) -> CaseId:
        with database_errors(), self._engine.connect() as connection:
            found = connection.scalar(select(cases.c.id).where(cases.c.reference == reference))
        if found is None:
            raise NotFoundError(f"There is no case '{reference}'.")
        return CaseId(found)

    def summaries(
        self, *, limit: int = 200, offset: int = 0, search: str = ""
    ) -> list[CaseSummary]:
        query = (
            select(*_SUMMARY_COLUMNS)
            .where(_matches(search))
            .order_by(cases.c.changed_at.desc(), cases.c.id)
            .limit(limit)
            .offset(offset)
        )
        with database_errors(), self._engine.connect() as connection:
            return [summary_from(row) for row in connection.execute(query).mappings()]

    def count(self, *, search: str = "") -> int:
        query = select(func.count()).select_from(cases).where(_matches(search))
        with database_errors(), self._engine.connect() as connection:
            return connection.scalar(query) or 0

    def apply(
        self, case_id: CaseId, command: AnyCommand, signed: Signed, *, check: Check | None = None
    ) -> Applied:
        return retried(lambda: self._apply(case_id, command, signed, check))

    def _apply(
        self, case_id: CaseId, command: AnyCommand, signed: Signed, check: Check | None
    ) -> Applied:
        with writing(self._engine) as connection:
            before = _loaded(connection, case_id, to_change=True)
            change = change_by(command, before, _head(connection, case_id), signed, check=check)
            if change is None:
                return Applied(before=before, after=before)
            steps.reached(Step.CHANGE_BEGUN)
            self._update_case(connection, before, change)
            _insert_entries(connection, [change.entry])
            _note_blobs(connection, case_id, blobs_of(change.case) - blobs_of(before))
        steps.reached(Step.CHANGE_KEPT)
        return Applied(before=before, after=change.case)

    def with_journal(self, case_id: CaseId) -> CaseWithJournal:
        with database_errors(), one_moment(self._engine) as connection:
            case = _loaded(connection, case_id)
            return CaseWithJournal(case=case, entries=tuple(_entries(connection, case_id)))

    def journal(self, case_id: CaseId) -> list[JournalEntry]:
        with database_errors(), self._engine.connect() as connection:
            entries = _entries(connection, case_id)
        if not entries:
            raise NotFoundError(f"There is no case {case_id}.")
        return entries

    def insert_whole(self, case: Case, entries: Iterable[JournalEntry]) -> None:
        kept = list(entries)
        retried(lambda: self._insert_whole(case, kept))

    def _insert_whole(self, case: Case, entries: list[JournalEntry]) -> None:
        with writing(self._engine) as connection:
            if _body(connection, case.id) is not None:
                raise InvalidInputError(f"Case {case.reference} is here already.")
            _refuse_taken_reference(connection, case.reference)
            steps.reached(Step.CHANGE_BEGUN)
            last = entries[-1].signed if entries else case.opened
            self._insert_case(connection, case, case_to_json(case), last)
            _insert_entries(connection, entries)
            _note_blobs(connection, case.id, blobs_of(case))
        steps.reached(Step.CHANGE_KEPT)

    def blob_names(self) -> set[Sha256]:
        with database_errors(), self._engine.connect() as connection:
            return set(connection.scalars(select(case_blobs.c.sha256).distinct()))

    def _insert_case(self, connection: Connection, case: Case, body: str, last: Signed) -> None:
        summary = self._summarise(case, last.at)
        connection.execute(insert(cases).values(case_row(case, body, summary)))
        steps.reached(Step.CASE_WRITTEN)

    def _update_case(self, connection: Connection, before: Case, change: Change) -> None:
        summary = self._summarise(change.case, change.entry.signed.at)
        updated = connection.execute(
            update(cases)
            .where(cases.c.id == before.id, cases.c.revision == before.revision)
            .values(case_row(change.case, change.body, summary))
        )
        if updated.rowcount != 1:
            raise WrittenMeanwhileError
        steps.reached(Step.CASE_WRITTEN)


def _matches(search: str) -> ColumnElement[bool]:
    wanted = search.strip().casefold()
    return cases.c.search_text.contains(wanted, autoescape=True) if wanted else true()


def _body(connection: Connection, case_id: CaseId, *, to_change: bool = False) -> str | None:
    query = select(cases.c.body).where(cases.c.id == case_id)
    if to_change:
        # PostgreSQL holds the row until the end; SQLite leaves this out and holds the file.
        query = query.with_for_update()
    return connection.scalar(query)


def _loaded(connection: Connection, case_id: CaseId, *, to_change: bool = False) -> Case:
    body = _body(connection, case_id, to_change=to_change)
    if body is None:
        raise NotFoundError(f"There is no case {case_id}.")
    return case_from(body)


def _entries(connection: Connection, case_id: CaseId) -> list[JournalEntry]:
    query = select(journal).where(journal.c.case_id == case_id).order_by(journal.c.sequence)
    return [entry_from(row) for row in connection.execute(query).mappings()]


def _head(connection: Connection, case_id: CaseId) -> Head:
    row = connection.execute(
        select(journal.c.sequence, journal.c.entry_hash)
        .where(journal.c.case_id == case_id)
        .order_by(journal.c.sequence.desc())
        .limit(1)
    ).first()
    return Head() if row is None else Head(sequence=row.sequence, entry_hash=row.entry_hash)


def _refuse_taken_reference(connection: Connection, reference: str) -> None:
    if connection.scalar(select(cases.c.id).where(cases.c.reference == reference)):
        raise InvalidInputError(f"There is already a case '{reference}'. Choose another reference.")


def _insert_entries(connection: Connection, entries: list[JournalEntry]) -> None:
    if entries:
        connection.execute(insert(journal), [entry_row(entry) for entry in entries])
    steps.reached(Step.ENTRY_WRITTEN)


def _note_blobs(connection: Connection, case_id: CaseId, names: set[Sha256]) -> None:
    if names:
        rows = [{"case_id": case_id, "sha256": name} for name in sorted(names)]
        connection.execute(insert(case_blobs), rows)
    steps.reached(Step.BLOBS_NOTED)
