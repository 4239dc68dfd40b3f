"""Keep the lists honest: what they show of a case comes from the rule book of today.

Summaries are stored with each case, so that a list asks no rules. After a change of the book they
would show yesterday's flags; then all are worked out anew, once, when the store is opened.
"""

import logging

from sqlalchemy import Connection, Engine, delete, insert, select, update

from triage_app.domain.errors import StorageError
from triage_app.services.ports import Summarise
from triage_app.storage.engine import writing
from triage_app.storage.faults import database_errors
from triage_app.storage.rows import case_from, summary_row
from triage_app.storage.tables import cases, meta, read_time

_log = logging.getLogger(__name__)

_STAMP = "summaries made by rule book"
_CASES_AT_ONCE = 200


def renew(engine: Engine, summarise: Summarise, rulebook_stamp: str) -> None:
    """Work out every summary anew if another rule book made them; raises StorageError."""
    with database_errors():
        with engine.connect() as connection:
            if _stamp(connection) == rulebook_stamp:
                return
            case_ids = list(connection.scalars(select(cases.c.id)))
        for start in range(0, len(case_ids), _CASES_AT_ONCE):
            with writing(engine) as connection:
                _renew_some(connection, summarise, case_ids[start : start + _CASES_AT_ONCE])
        with writing(engine) as connection:
            connection.execute(delete(meta).where(meta.c.name == _STAMP))
            connection.execute(insert(meta).values(name=_STAMP, value=rulebook_stamp))


def _stamp(connection: Connection) -> str | None:
    return connection.scalar(select(meta.c.value).where(meta.c.name == _STAMP))


def _renew_some(connection: Connection, summarise: Summarise, case_ids: list[str]) -> None:
    query = select(cases.c.id, cases.c.body, cases.c.changed_at).where(cases.c.id.in_(case_ids))
    for row in connection.execute(query).all():
        try:
            summary = summarise(case_from(row.body), read_time(row.changed_at))
        except StorageError:
            # One damaged case must not keep the whole shop from opening; it says so itself.
            _log.warning("summary_not_renewed case=%s", row.id)
            continue
        connection.execute(update(cases).where(cases.c.id == row.id).values(summary_row(summary)))
