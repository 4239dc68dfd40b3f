"""The one place where a person's roles are held against what they are about to do.

Every service method that reads or changes carries ``@needs(action)`` and takes ``by``; a method
that applies a command made elsewhere asks ``require`` with the command's own action. A test walks
all services, so that a method that asks for nothing does not pass unnoticed.
"""

import functools
import inspect
from collections.abc import Callable
from dataclasses import replace
from typing import ParamSpec, TypeVar

from triage_app.domain.command_actions import action_of
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import NotAllowedError
from triage_app.domain.permissions import ROLE_NAMES, Action, Role, allowed_roles, may
from triage_app.domain.signed import Operator

_P = ParamSpec("_P")
_R = TypeVar("_R")
ACTION_NEEDED = "action_needed"


def needs(action: Action) -> Callable[[Callable[_P, _R]], Callable[_P, _R]]:
    """Refuse the method, before anything is loaded, to a ``by`` whose roles do not allow it.

    The method takes ``by`` by name only; one without it is a fault that shows at import.
    """

    def guard(method: Callable[_P, _R]) -> Callable[_P, _R]:
        by = inspect.signature(method).parameters.get("by")
        if by is None or by.kind is not inspect.Parameter.KEYWORD_ONLY:
            raise TypeError(f"{method.__qualname__} needs a person: take 'by' by name only.")

        @functools.wraps(method)
        def checked(*args: _P.args, **kwargs: _P.kwargs) -> _R:
            require(kwargs.get("by"), action)
            return method(*args, **kwargs)

        setattr(checked, ACTION_NEEDED, action)
        return checked

    return guard


def require(by: object, action: Action) -> None:
    """Raise NotAllowedError, in one sentence, unless this person may do it."""
    if not isinstance(by, Operator):
        raise NotAllowedError(f"Nobody is named; only a named person may {action}.")
    if not may(by.roles, action):
        raise NotAllowedError(
            f"{by.name}, {_roles_of(by)}, may not {action}; that is for {allowed_roles(action)}."
        )


def require_for(by: Operator, command: AnyCommand) -> None:
    """Raise NotAllowedError unless this person may give this command."""
    require(by, action_of(command))


def in_the_name_of(name: str, by: Operator) -> Operator:
    """Return the person on record; what they may do is what whoever runs the case file may do."""
    return replace(by, name=name) if name.strip() else by


def _roles_of(by: Operator) -> str:
    return ", ".join(ROLE_NAMES[role] for role in Role if role in by.roles) or "no role"
