"""The documented doorway for scripts: ``with open_workspace(...) as shop: shop.intake...``."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from triage_app.bootstrap import open_services
from triage_app.services import Services
from triage_app.settings import Settings


@contextmanager
def open_workspace(
    cases_url: str | None = None, files_url: str | None = None
) -> Iterator[Services]:
    """Open the stores at these URLs (from the environment where not given) as Services.

    Raises StorageError, RulebookError.
    """
    settings = Settings.from_environment()
    settings = replace(
        settings,
        cases_url=cases_url or settings.cases_url,
        files_url=files_url or settings.files_url,
    )
    services = open_services(settings)
    try:
        yield services
    finally:
        services.close()
