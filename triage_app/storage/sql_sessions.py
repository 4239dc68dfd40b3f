"""Sign-in sessions in the database, so that they survive a restart of the program."""

from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Engine, delete, insert, select, update

from triage_app.domain.ids import Sha256
from triage_app.domain.signed import Operator
from triage_app.storage.engine import writing
from triage_app.storage.faults import database_errors
from triage_app.storage.retry import retried
from triage_app.storage.tables import read_time, sessions, stored_time

# Much longer than any session lasts; only keeps the table from growing for ever.
FORGET_AFTER = timedelta(days=30)


class SqlSessions:
    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def add(self, token_sha256: Sha256, operator: Operator, at: datetime) -> None:
        values = {
            "token_sha256": token_sha256,
            "operator": operator.name,
            "last_used_at": stored_time(at),
        }

        def change() -> None:
            with writing(self._engine) as connection:
                forgotten = sessions.c.last_used_at < stored_time(at - FORGET_AFTER)
                connection.execute(delete(sessions).where(_is(token_sha256) | forgotten))
                connection.execute(insert(sessions).values(values))

        retried(change)

    def find(self, token_sha256: Sha256) -> tuple[Operator, datetime] | None:
        query = select(sessions.c.operator, sessions.c.last_used_at).where(_is(token_sha256))
        with database_errors(), self._engine.connect() as connection:
            row = connection.execute(query).first()
        return row and (Operator(name=row.operator), read_time(row.last_used_at))

    def touch(self, token_sha256: Sha256, at: datetime) -> None:
        def change() -> None:
            with writing(self._engine) as connection:
                connection.execute(
                    update(sessions).where(_is(token_sha256)).values(last_used_at=stored_time(at))
                )

        retried(change)

    def remove(self, token_sha256: Sha256) -> None:
        def change() -> None:
            with writing(self._engine) as connection:
                connection.execute(delete(sessions).where(_is(token_sha256)))

        retried(change)


def _is(token_sha256: Sha256) -> ColumnElement[bool]:
    return sessions.c.token_sha256 == token_sha256
