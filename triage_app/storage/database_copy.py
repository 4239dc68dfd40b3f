"""Copy all cases and people from one database to another, and check it. Sign-ins stay behind."""

from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection, Engine, RowMapping, func, insert, select

from triage_app.casefile.canonical import sha256_of
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.journal import JournalEntry, first_bad_entry
from triage_app.storage.engine import is_sqlite, writing
from triage_app.storage.faults import database_errors
from triage_app.storage.rows import entry_from
from triage_app.storage.sql_shop import SqlShop
from triage_app.storage.tables import accounts, case_blobs, cases, journal, people_log

_IN_BATCHES = {"yield_per": 500}


def sqlite_url(file: Path) -> str:
    return f"sqlite:///{file.as_posix()}"


def copy_cases(source: Engine, target: Engine) -> None:
    """Copy every case and every account, as of one moment, in one transaction."""
    with database_errors(), source.connect() as reading, writing(target) as kept:
        if not is_sqlite(source):  # on SQLite every read transaction is of one moment
            reading.execution_options(isolation_level="REPEATABLE READ")
        for table in (cases, journal, case_blobs, accounts, people_log):
            query = select(table).order_by(*table.primary_key)
            rows = reading.execute(query, execution_options=_IN_BATCHES)
            for batch in rows.mappings().partitions():
                kept.execute(insert(table), [_without_number(row) for row in batch])
    # What the shop measured once, such as its printed cards, goes with its cases.
    for name, text in SqlShop(source).all().items():
        SqlShop(target).put(name, text)


def _without_number(row: RowMapping) -> dict[str, object]:
    # Counted anew: PostgreSQL's own counter would know nothing of numbers that came with rows.
    return {name: value for name, value in row.items() if name != people_log.c.number.name}


def case_count(engine: Engine) -> int:
    with database_errors(), engine.connect() as connection:
        return connection.scalar(select(func.count()).select_from(cases)) or 0


def has_people(engine: Engine) -> bool:
    with database_errors(), engine.connect() as connection:
        return bool(connection.scalar(select(func.count()).select_from(accounts)))


def file_names(engine: Engine) -> list[Sha256]:
    """Return the name of every file that a case refers to, sorted."""
    query = select(case_blobs.c.sha256).distinct().order_by(case_blobs.c.sha256)
    with database_errors(), engine.connect() as connection:
        return [Sha256(name) for name in connection.scalars(query)]


def first_fault(engine: Engine) -> str:
    """Return the first case that is not as its journal left it, as a sentence; "" if none is."""
    query = select(cases.c.id, cases.c.reference, cases.c.revision, cases.c.body)
    with database_errors(), engine.connect() as connection:
        for case in connection.execute(query, execution_options=_IN_BATCHES):
            entries = list(_entries(connection, case.id))
            bad = first_bad_entry(entries, case_id=CaseId(case.id))
            if len(entries) != case.revision or bad is not None:
                return f"the journal of case {case.reference} is broken"
            if entries[-1].case_sha256 != sha256_of(case.body):
                return f"case {case.reference} is not as its journal left it"
    return ""


def _entries(connection: Connection, case_id: str) -> Iterator[JournalEntry]:
    query = select(journal).where(journal.c.case_id == case_id).order_by(journal.c.sequence)
    for row in connection.execute(query).mappings():
        yield entry_from(row)
