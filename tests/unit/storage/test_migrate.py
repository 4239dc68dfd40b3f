"""The steps that bring a database up to date end at the tables that the program uses."""

from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from triage_app.storage import migrations
from triage_app.storage.open import open_database
from triage_app.storage.tables import SCHEMA_REVISION, metadata


def test_the_last_step_is_the_revision_that_the_program_knows() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent))
    assert ScriptDirectory.from_config(config).get_heads() == [SCHEMA_REVISION]


def test_the_steps_make_the_tables_of_the_program(cases_url: str) -> None:
    engine = open_database(cases_url)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
    engine.dispose()
