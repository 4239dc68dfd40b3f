"""What a shop keeps beside its cases, in the table of named texts that the program has anyway."""

from sqlalchemy import Engine, delete, insert, select

from triage_app.storage.engine import writing
from triage_app.storage.faults import database_errors
from triage_app.storage.retry import retried
from triage_app.storage.tables import meta

# The table holds texts of the program itself too; these are a shop's.
_PREFIX = "shop: "


class SqlShop:
    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def put(self, name: str, text: str) -> None:
        kept_as = _PREFIX + name

        def change() -> None:
            with writing(self._engine) as connection:
                connection.execute(delete(meta).where(meta.c.name == kept_as))
                connection.execute(insert(meta).values(name=kept_as, value=text))

        retried(change)

    def all(self) -> dict[str, str]:
        query = select(meta.c.name, meta.c.value).where(meta.c.name.startswith(_PREFIX))
        with database_errors(), self._engine.connect() as connection:
            rows = connection.execute(query).all()
        return {row.name.removeprefix(_PREFIX): row.value for row in rows}
