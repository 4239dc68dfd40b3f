"""Command <-> JSON, as it stands in the journal: its fields, and its kind."""

import json
from dataclasses import make_dataclass
from typing import get_args

from pydantic import TypeAdapter, ValidationError

from triage_app.casefile.canonical import canonical_json
from triage_app.casefile.cases import STRICT
from triage_app.casefile.faults import sentence
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import InvalidInputError

_WHAT = "The command"


def _holder(command_type: type) -> TypeAdapter[object]:
    # pydantic takes its settings from the outermost class only, and domain classes carry none.
    held = make_dataclass(
        command_type.__name__,
        [("command", command_type)],
        namespace={"__pydantic_config__": STRICT},
    )
    return TypeAdapter(held)


_ADAPTERS = {command.kind: _holder(command) for command in get_args(AnyCommand)}
_PLAIN: TypeAdapter[AnyCommand] = TypeAdapter(AnyCommand)


def command_to_plain(command: AnyCommand) -> dict[str, object]:
    """Return the command as what ``json`` can write."""
    return {"kind": command.kind, **_PLAIN.dump_python(command, mode="json")}


def command_to_json(command: AnyCommand) -> str:
    """Return the command as canonical JSON."""
    return canonical_json(command_to_plain(command))


def command_from_json(text: str) -> AnyCommand:
    """Return the command; InvalidInputError names the first fault in one sentence."""
    try:
        given = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InvalidInputError(f"{_WHAT} is not JSON.") from error
    kind = given.pop("kind", None) if isinstance(given, dict) else None
    adapter = _ADAPTERS.get(kind) if isinstance(kind, str) else None
    if adapter is None:
        raise InvalidInputError(f"{_WHAT} is wrong at 'kind': there is no command '{kind}'.")
    held_text = json.dumps({"command": given})
    try:
        held = adapter.validate_json(held_text)
    except ValidationError as error:
        message = sentence(_WHAT, held_text, error)
        raise InvalidInputError(message.replace("'command.", "'", 1)) from error
    command: AnyCommand = held.command  # type: ignore[attr-defined]  # made by make_dataclass
    return command
