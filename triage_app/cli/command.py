"""What a command is, and what it is given to work with."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace

from rules import Rulebook
from triage_app.bootstrap import open_rulebook, open_services
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, NotFoundError, TriageError
from triage_app.domain.ids import CaseId
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.settings import Settings, roles_from

_UNNAMED = "Whoever runs the command line"


class UsageError(Exception):
    """The options do not go together; the program ends with status 2."""


class JournalBrokenError(TriageError):
    """A journal is not the one that was written; the program ends with status 3."""


class Desk:
    """The settings, and the services opened when first needed.

    ``close`` may be called whether or not anything was opened.
    """

    def __init__(self, settings: Settings, *, open_: Callable[[Settings], Services]) -> None:
        self.settings = settings
        self._open = open_
        self._services: Services | None = None

    @property
    def services(self) -> Services:
        if self._services is None:
            self._services = self._open(self.settings)
        return self._services

    @property
    def rulebook(self) -> Rulebook:
        """The rule book, without opening a store where none is open."""
        return self._services.rulebook if self._services else open_rulebook(self.settings)

    @property
    def operator(self) -> Operator:
        """Who does it; InvalidInputError where nobody is named."""
        if not self.settings.operator.strip():
            raise InvalidInputError(
                "Say who does this with --by NAME, or set UNDERBODY_OPERATOR; it goes on record."
            )
        return Operator(name=self.settings.operator, roles=roles_from(self.settings.roles))

    @property
    def reader(self) -> Operator:
        """Who does what leaves nothing on record; a name is not asked for."""
        name = self.settings.operator.strip() or _UNNAMED
        return Operator(name=name, roles=roles_from(self.settings.roles))

    def case(self, text: str) -> Case:
        """Return the case with this reference or id; raises NotFoundError."""
        cases = self.services.cases
        for look_up in (cases.id_of, CaseId):
            try:
                return cases.get(look_up(text))
            except NotFoundError:
                continue
        raise NotFoundError(f"There is no case '{text}'. See them all with: underbody list")

    def with_settings(self, settings: Settings) -> "Desk":
        """Return another desk, with nothing open yet; it wants closing of its own."""
        return Desk(settings, open_=self._open)

    def close(self) -> None:
        if self._services is not None:
            self._services.close()


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """One verb. ``run`` returns the exit status and raises TriageError to refuse."""

    name: str
    about: str
    arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace, Desk], int]


def desk_for(options: argparse.Namespace) -> Desk:
    """Return the desk that the environment and the global options ask for."""
    settings = Settings.from_environment()
    for option, setting in (
        ("by", "operator"),
        ("role", "roles"),
        ("cases", "cases_url"),
        ("files", "files_url"),
    ):
        given = getattr(options, option, None)
        if given is not None:
            settings = replace(settings, **{setting: given})
    return Desk(settings, open_=open_services)
