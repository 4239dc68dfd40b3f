"""People's accounts in the database, and the record of what was done to them."""

from sqlalchemy import Connection, Engine, RowMapping, delete, insert, select, text

from triage_app.domain.accounts import Account, PeopleEntry
from triage_app.domain.ids import AccountId
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Signed
from triage_app.services.ports import ChangePeople
from triage_app.storage.engine import is_sqlite, writing
from triage_app.storage.faults import database_errors
from triage_app.storage.retry import retried
from triage_app.storage.tables import accounts, people_log, read_time, stored_time


class SqlAccounts:
    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def all(self) -> list[Account]:
        with database_errors(), self._engine.connect() as connection:
            return _all(connection)

    def get(self, account_id: AccountId) -> Account | None:
        query = select(accounts).where(accounts.c.id == account_id)
        with database_errors(), self._engine.connect() as connection:
            row = connection.execute(query).mappings().first()
        return None if row is None else _account(row)

    def apply(self, change: ChangePeople) -> Account:
        def once() -> Account:
            with writing(self._engine) as connection:
                if not is_sqlite(self._engine):
                    # Two changes at once must not both be judged by what was there before.
                    connection.execute(text("LOCK TABLE accounts IN SHARE ROW EXCLUSIVE MODE"))
                account, entry = change(_all(connection))
                connection.execute(delete(accounts).where(accounts.c.id == account.id))
                connection.execute(insert(accounts).values(_row(account)))
                if entry is not None:
                    connection.execute(insert(people_log).values(_log_row(entry)))
            return account

        return retried(once)

    def log(self, *, limit: int = 200) -> list[PeopleEntry]:
        query = select(people_log).order_by(people_log.c.number.desc()).limit(limit)
        with database_errors(), self._engine.connect() as connection:
            return [_entry(row) for row in connection.execute(query).mappings()]


def _all(connection: Connection) -> list[Account]:
    rows = connection.execute(select(accounts).order_by(accounts.c.name)).mappings()
    return [_account(row) for row in rows]


def _row(account: Account) -> dict[str, object]:
    set_at, off = account.password_set_at, account.disabled
    return {
        "id": account.id,
        "name": account.name,
        "sign_in_name": account.sign_in_name,
        "roles": ",".join(sorted(account.roles)),
        "password_hash": account.password_hash,
        "password_set_at": set_at and stored_time(set_at),
        "must_choose": int(account.must_choose),
        "outside_id": account.outside_id,
        "created_by": account.created.by,
        "created_at": stored_time(account.created.at),
        "disabled_by": off and off.by,
        "disabled_at": off and stored_time(off.at),
    }


def _account(row: RowMapping) -> Account:
    set_at, disabled_at = row["password_set_at"], row["disabled_at"]
    return Account(
        id=AccountId(row["id"]),
        name=row["name"],
        sign_in_name=row["sign_in_name"],
        roles=frozenset(Role(word) for word in row["roles"].split(",") if word),
        password_hash=row["password_hash"],
        password_set_at=read_time(set_at) if set_at else None,
        must_choose=bool(row["must_choose"]),
        outside_id=row["outside_id"],
        created=Signed(by=row["created_by"], at=read_time(row["created_at"])),
        disabled=Signed(by=row["disabled_by"], at=read_time(disabled_at)) if disabled_at else None,
    )


def _log_row(entry: PeopleEntry) -> dict[str, object]:
    return {
        "signed_by": entry.signed.by,
        "signed_at": stored_time(entry.signed.at),
        "account_id": entry.account_id,
        "name": entry.name,
        "did": entry.did,
    }


def _entry(row: RowMapping) -> PeopleEntry:
    return PeopleEntry(
        signed=Signed(by=row["signed_by"], at=read_time(row["signed_at"])),
        account_id=AccountId(row["account_id"]),
        name=row["name"],
        did=row["did"],
    )
