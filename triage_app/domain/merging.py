"""Two people filled in the same form: what each changed is kept, and a clash is never silent."""

from dataclasses import fields, replace
from typing import TypeVar

from triage_app.domain.errors import StaleCaseError
from triage_app.domain.plan.given import PlanFigures
from triage_app.domain.vehicle import Answer, Incident, Vehicle

_Form = TypeVar("_Form", Vehicle, Incident, PlanFigures)

# Of two answers about a warning sign the worse one stands; not known counts as worse than no.
_WORSE = {Answer.NO: 0, Answer.UNKNOWN: 1, Answer.YES: 2}


def merged(base: _Form, mine: _Form, stored: _Form) -> _Form:
    """Return ``stored`` with what ``mine`` changed against ``base``; of two signs, the worse.

    Raises StaleCaseError where both changed the same other field, each to something else.
    """
    changes: dict[str, object] = {}
    for field in fields(base):
        before, own, theirs = (getattr(one, field.name) for one in (base, mine, stored))
        if own in (before, theirs):
            continue
        if theirs == before:
            changes[field.name] = own
        elif isinstance(own, Answer):
            changes[field.name] = max(own, theirs, key=_WORSE.__getitem__)
        else:
            what = field.name.replace("_", " ")
            raise StaleCaseError(
                f"Somebody else changed the {what} to '{theirs}' first; you entered '{own}'. "
                "Theirs is kept and nothing of yours was stored. Look at what is stored, then "
                "enter yours."
            )
    return replace(stored, **changes)  # type: ignore[arg-type]  # fields of its own type
