"""Run by Alembic: apply the steps on the connection that ``migrate`` hands over."""

from alembic import context

from triage_app.storage.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    # The whole move is one transaction, on SQLite too: it is done or it is not.
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
