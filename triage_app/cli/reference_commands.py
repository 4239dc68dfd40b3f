"""The page of all commands, made from the parser itself."""

import argparse
from collections.abc import Iterator

from triage_app.cli.markdown import code, table

_INTRO = """# Command line

This page is generated; write it anew with `make docs`.

`underbody COMMAND …`, or `python -m triage_app COMMAND …`.
Every command does what the app does, by the same services.

Exit status: **0** done, **1** refused with one plain sentence on the error stream,
**2** wrong usage. `CASE` is the reference of a case or its id.
Tags that are left out are not known, and unknown counts as worse.

A flag for high voltage asks for the vehicle maker's procedure first, then local codes and
licensed, qualified practice. A disconnected battery still holds its energy.

JSON documents have a published schema: see [json.md](json.md).
"""


def commands_page(parser: argparse.ArgumentParser) -> str:
    """Return the page; every command has a section and every option a row."""
    sections = [_INTRO, "## For every command\n", _options_of(_common_group(parser))]
    for name, command in commands_of(parser).items():
        about = str(command.description or "")
        sections += [f"## {name}\n", f"{about[:1].upper()}{about[1:]}.\n"]
        sections += [f"    {_usage(name, command)}\n", *_groups_of(command)]
    return "\n".join(sections)


def commands_of(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """Return the parser of each command by name."""
    for action in parser._actions:  # noqa: SLF001 - argparse has no public way to list them
        if isinstance(action, argparse._SubParsersAction):  # noqa: SLF001 - as above
            return dict(action.choices)
    return {}


def own_actions(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """Yield what a command takes, without the options that every command has."""
    common = {name for action in _common_group(parser) for name in action.option_strings}
    for action in parser._actions:  # noqa: SLF001 - as above
        is_help = isinstance(action, argparse._HelpAction)  # noqa: SLF001 - as above
        if not is_help and not common.intersection(action.option_strings):
            yield action


def _common_group(parser: argparse.ArgumentParser) -> list[argparse.Action]:
    for group in parser._action_groups:  # noqa: SLF001 - as above
        if group.title == "for every command":
            return group._group_actions  # noqa: SLF001 - as above
    return []


def _groups_of(parser: argparse.ArgumentParser) -> Iterator[str]:
    own = list(own_actions(parser))
    titled = {
        group.title: [each for each in group._group_actions if each in own]  # noqa: SLF001 - as above
        for group in parser._action_groups[2:]  # noqa: SLF001 - as above
    }
    in_groups = [action for actions in titled.values() for action in actions]
    plain = [action for action in own if action not in in_groups]
    if plain:
        yield _options_of(plain)
    for title, actions in titled.items():
        if title and actions:
            yield f"{title[:1].upper()}{title[1:]}:\n"
            yield _options_of(actions)


def _options_of(actions: list[argparse.Action]) -> str:
    return table(
        ("argument", "what it is"),
        ((_shown(action), (action.help or "").replace("%%", "%")) for action in actions),
    )


def _usage(name: str, parser: argparse.ArgumentParser) -> str:
    parts = ["underbody", name]
    options = [action for action in own_actions(parser) if action.option_strings]
    if options:
        parts.append("[OPTIONS]")
    for action in own_actions(parser):
        if not action.option_strings:
            shown = str(action.metavar or action.dest)
            shown = f"{shown} [{shown} …]" if action.nargs == "+" else shown
            parts.append(f"[{shown}]" if action.nargs == "?" else shown)
        elif action.required:
            parts.append(f"{action.option_strings[0]} {action.metavar}")
    return " ".join(parts)


def _shown(action: argparse.Action) -> str:
    value = _value(action)
    if not action.option_strings:
        return code(value)
    return ", ".join(code(f"{name} {value}".strip()) for name in action.option_strings)


def _value(action: argparse.Action) -> str:
    if action.nargs == 0:
        return ""
    if action.choices is not None and not action.metavar:
        return "|".join(str(choice) for choice in action.choices)
    return f"{action.metavar or action.dest}{' …' if action.nargs == '+' else ''}"
