"""people, settings: accounts and what the shop has set, for whoever sits at the server."""

import argparse
from collections.abc import Callable, Mapping
from dataclasses import replace

from triage_app.cli.command import Command, Desk, UsageError
from triage_app.domain.accounts import Account, roles_in_words
from triage_app.domain.signed import Operator
from triage_app.services.people import Given
from triage_app.settings import roles_from

_LIST, _LOG = "list", "log"
_SWITCHES = {"yes": True, "no": False}


def _people_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "act",
        metavar="ACT",
        nargs="?",
        default=_LIST,
        choices=[_LIST, _LOG, *_ACTS],
        help=f"what to do: {', '.join([_LIST, _LOG, *_ACTS])} ({_LIST})",
    )
    parser.add_argument(
        "person", metavar="PERSON", nargs="?", help="full name, or sign-in name of an account"
    )
    parser.add_argument(
        "--gets", metavar="ROLES", default="", help="add, roles: roles of the person, with commas"
    )
    parser.add_argument(
        "--sign-in-name", metavar="NAME", default="", help="add: the first name where left out"
    )
    parser.add_argument(
        "--outside-id",
        metavar="ID",
        default="",
        help="add, outside: what the identity provider calls the person",
    )


def _people(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    if options.act == _LIST:
        for account in desk.services.people.all(by=by):
            print(_line(account))
        return 0
    if options.act == _LOG:
        for entry in desk.services.people.log(by=by):
            when = f"{entry.signed.at:%Y-%m-%d %H:%M} UTC"
            print(f"{when}  {entry.name}: {entry.did} (by {entry.signed.by})")
        return 0
    if not options.person:
        raise UsageError(f"Say whom: underbody people {options.act} PERSON")
    print(_ACTS[options.act](options, desk, by))
    return 0


def _add(options: argparse.Namespace, desk: Desk, by: Operator) -> str:
    given = desk.services.people.add(
        options.person,
        roles_from(options.gets),
        by=by,
        sign_in_name=options.sign_in_name,
        outside_id=options.outside_id,
    )
    return _handed_over(given)


def _roles(options: argparse.Namespace, desk: Desk, by: Operator) -> str:
    people = desk.services.people
    account = people.called(options.person, by=by)
    return _line(people.set_roles(account.id, roles_from(options.gets), by=by))


def _password(options: argparse.Namespace, desk: Desk, by: Operator) -> str:
    people = desk.services.people
    return _handed_over(people.reset_password(people.called(options.person, by=by).id, by=by))


def _disable(options: argparse.Namespace, desk: Desk, by: Operator) -> str:
    people = desk.services.people
    return _line(people.disable(people.called(options.person, by=by).id, by=by))


def _enable(options: argparse.Namespace, desk: Desk, by: Operator) -> str:
    people = desk.services.people
    return _line(people.enable(people.called(options.person, by=by).id, by=by))


def _end_sessions(options: argparse.Namespace, desk: Desk, by: Operator) -> str:
    people = desk.services.people
    account = people.called(options.person, by=by)
    return f"{account.name}: {people.end_sessions(account.id, by=by)} sessions ended."


def _outside(options: argparse.Namespace, desk: Desk, by: Operator) -> str:
    people = desk.services.people
    account = people.called(options.person, by=by)
    return _line(people.set_outside_id(account.id, options.outside_id, by=by))


_ACTS: Mapping[str, Callable[[argparse.Namespace, Desk, Operator], str]] = {
    "add": _add,
    "roles": _roles,
    "password": _password,
    "disable": _disable,
    "enable": _enable,
    "end-sessions": _end_sessions,
    "outside": _outside,
}


def _handed_over(given: Given) -> str:
    line = _line(given.account)
    if not given.password:
        return line
    return f"{line}\nFirst password, shown this once and good for 7 days: {given.password}"


def _line(account: Account) -> str:
    parts = [f"{account.name} ({account.sign_in_name})", roles_in_words(account.roles)]
    if account.outside_id:
        parts.append(f"from outside as {account.outside_id}")
    if account.disabled:
        parts.append(f"disabled by {account.disabled.by}")
    return " · ".join(parts)


def _settings_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--second-person-clears",
        metavar="yes|no",
        choices=list(_SWITCHES),
        help="whoever recorded a finding at high voltage cannot be the one who lowers it",
    )
    parser.add_argument("--idle-minutes", metavar="N", type=int, help="then a screen is locked")
    parser.add_argument(
        "--session-hours", metavar="N", type=int, help="then everybody signs in anew"
    )
    parser.add_argument(
        "--password-min-length", metavar="N", type=int, help="least characters of a password"
    )


def _settings(options: argparse.Namespace, desk: Desk) -> int:
    settings = desk.services.shop_settings.now()
    changes: dict[str, object] = {
        name: given
        for name in ("idle_minutes", "session_hours", "password_min_length")
        if (given := getattr(options, name)) is not None
    }
    if options.second_person_clears is not None:
        changes["second_person_clears"] = _SWITCHES[options.second_person_clears]
    if changes:
        wanted = replace(settings, **changes)  # type: ignore[arg-type]  # each by its option
        settings = desk.services.shop_settings.change(wanted, by=desk.operator)
    print(f"second-person-clears  {'yes' if settings.second_person_clears else 'no'}")
    print(f"idle-minutes          {settings.idle_minutes}")
    print(f"session-hours         {settings.session_hours}")
    print(f"password-min-length   {settings.password_min_length}")
    if settings.changed is not None:
        when = f"{settings.changed.at:%Y-%m-%d %H:%M} UTC"
        print(f"Last changed by {settings.changed.by}, {when}.")
    return 0


COMMANDS = (
    Command(
        name="people",
        about="list, add, change and disable the accounts of the people who use the app",
        arguments=_people_arguments,
        run=_people,
    ),
    Command(
        name="settings",
        about="show or change what the shop has set for itself",
        arguments=_settings_arguments,
        run=_settings,
    ),
)
