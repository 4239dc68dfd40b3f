"""Whether words of a case are words of the rule book. What nobody said yet is always allowed."""

from rules import OpenTestId, Rulebook
from triage_app.domain.case import Tags
from triage_app.domain.errors import InvalidInputError


def check_tags(tags: Tags, rulebook: Rulebook) -> None:
    """Raise InvalidInputError for a component, damage type or zone that the book does not know."""
    for value, known, what in (
        (tags.component, rulebook.components, "component"),
        (tags.damage, rulebook.damage_types, "damage type"),
        (tags.zone, rulebook.zones, "zone"),
    ):
        if value is not None and value not in known:
            raise _unknown(what, value)


def check_test(test: OpenTestId | None, rulebook: Rulebook) -> None:
    """Raise InvalidInputError for a test that the rule book never asks for."""
    if test is not None and test not in rulebook.open_tests:
        raise _unknown("test", test)


def _unknown(what: str, value: str) -> InvalidInputError:
    return InvalidInputError(
        f"The rule book has no {what} '{value}'. See the list with: underbody check-rules --list"
    )
