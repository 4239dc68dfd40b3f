"""Sign-in sessions in the database, so that they survive a restart of the program."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Engine,
    RowMapping,
    delete,
    insert,
    select,
    update,
)

from triage_app.domain.ids import AccountId, Sha256
from triage_app.domain.sessions import Session
from triage_app.storage.engine import writing
from triage_app.storage.faults import database_errors
from triage_app.storage.retry import retried
from triage_app.storage.tables import read_time, sessions, stored_time

# Much longer than any session lasts; only keeps the table from growing for ever.
FORGET_AFTER = timedelta(days=30)


class SqlSessions:
    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def add(self, token_sha256: Sha256, session: Session) -> None:
        values = {
            "token_sha256": token_sha256,
            "id": session.id,
            "account_id": session.account_id,
            "opened_at": stored_time(session.opened_at),
            "last_used_at": stored_time(session.last_used_at),
            "locked": int(session.locked),
            "device": session.device,
            "address": session.address,
        }
        forgotten = sessions.c.last_used_at < stored_time(session.opened_at - FORGET_AFTER)

        def change(connection: Connection) -> None:
            connection.execute(delete(sessions).where(_is(token_sha256) | forgotten))
            connection.execute(insert(sessions).values(values))

        self._write(change)

    def find(self, token_sha256: Sha256) -> Session | None:
        with database_errors(), self._engine.connect() as connection:
            row = connection.execute(select(sessions).where(_is(token_sha256))).mappings().first()
        return None if row is None else _session(row)

    def of(self, account_id: AccountId) -> list[Session]:
        query = select(sessions).where(sessions.c.account_id == account_id)
        with database_errors(), self._engine.connect() as connection:
            rows = connection.execute(query.order_by(sessions.c.last_used_at.desc())).mappings()
            return [_session(row) for row in rows]

    def touch(self, token_sha256: Sha256, at: datetime) -> None:
        self._update(_is(token_sha256), last_used_at=stored_time(at))

    def lock(self, token_sha256: Sha256) -> None:
        self._update(_is(token_sha256), locked=1)

    def unlock(self, token_sha256: Sha256, at: datetime) -> None:
        self._update(_is(token_sha256), locked=0, last_used_at=stored_time(at))

    def remove(self, token_sha256: Sha256) -> None:
        self._write(lambda connection: connection.execute(_ending(_is(token_sha256))))

    def end(self, account_id: AccountId, session_id: str) -> None:
        which = (sessions.c.account_id == account_id) & (sessions.c.id == session_id)
        self._write(lambda connection: connection.execute(_ending(which)))

    def end_all(self, account_id: AccountId, *, but: Sha256 | None = None) -> int:
        which = sessions.c.account_id == account_id
        if but is not None:
            which &= sessions.c.token_sha256 != but
        ended = self._write(lambda connection: connection.execute(_ending(which)).rowcount)
        return int(ended)

    def _update(self, which: ColumnElement[bool], **values: object) -> None:
        change = update(sessions).where(which).values(values)
        self._write(lambda connection: connection.execute(change))

    def _write(self, change: Callable[[Connection], Any]) -> Any:  # whatever the change returns
        def once() -> Any:
            with writing(self._engine) as connection:
                return change(connection)

        return retried(once)


def _is(token_sha256: Sha256) -> ColumnElement[bool]:
    return sessions.c.token_sha256 == token_sha256


def _ending(which: ColumnElement[bool]) -> Any:  # SQLAlchemy's own type
    return delete(sessions).where(which)


def _session(row: RowMapping) -> Session:
    return Session(
        id=row["id"],
        account_id=AccountId(row["account_id"]),
        opened_at=read_time(row["opened_at"]),
        last_used_at=read_time(row["last_used_at"]),
        locked=bool(row["locked"]),
        device=row["device"],
        address=row["address"],
    )
