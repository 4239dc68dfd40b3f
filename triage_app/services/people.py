"""What an administrator does with accounts.

A password is never typed here: it is made, shown once, and good for nothing but the choice of an
own one.
"""

import secrets
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from triage_app.domain.accounts import (
    Account,
    PeopleEntry,
    free_sign_in_name,
    refuse_taken,
    refuse_without_administrator,
    roles_in_words,
)
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.ids import AccountId
from triage_app.domain.permissions import Action, Role
from triage_app.domain.sessions import Session
from triage_app.domain.signed import Operator, Signed
from triage_app.services.passwords import Passwords
from triage_app.services.permission import needs
from triage_app.services.ports import AccountStore, Clock, NewId, SessionStore

# No letter or digit that is taken for another.
_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """An account, and the password to hand to its person; it is shown this once."""

    account: Account
    password: str


def new_code() -> str:
    """Return a code that a person can type: three groups of letters and digits."""
    groups = ("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(3))
    return "-".join(groups)


class People:
    def __init__(
        self,
        *,
        accounts: AccountStore,
        sessions: SessionStore,
        passwords: Passwords,
        clock: Clock,
        new_id: NewId,
    ) -> None:
        self._accounts = accounts
        self._sessions = sessions
        self._passwords = passwords
        self._clock = clock
        self._new_id = new_id

    @needs(Action.MANAGE_PEOPLE)
    def all(self, *, by: Operator) -> list[Account]:  # noqa: ARG002 - asked by 'needs'
        """Return every account by name, disabled ones too."""
        return self._accounts.all()

    @needs(Action.MANAGE_PEOPLE)
    def called(self, name: str, *, by: Operator) -> Account:  # noqa: ARG002 - asked by 'needs'
        """Return the account with this sign-in name or full name; raises NotFoundError."""
        wanted = name.strip().casefold()
        for account in self._accounts.all():
            if wanted in (account.sign_in_name, account.name.casefold()):
                return account
        raise NotFoundError(f"There is no account of '{name}'.")

    @needs(Action.MANAGE_PEOPLE)
    def log(self, *, by: Operator) -> list[PeopleEntry]:  # noqa: ARG002 - asked by 'needs'
        """Return what was done to accounts, the newest first."""
        return self._accounts.log()

    @needs(Action.MANAGE_PEOPLE)
    def add(
        self,
        name: str,
        roles: Iterable[Role],
        *,
        by: Operator,
        sign_in_name: str = "",
        outside_id: str = "",
    ) -> Given:
        """Make an account with a first password, or with none where ``outside_id`` is given.

        Raises InvalidInputError where this would be somebody's second account.
        """
        password = "" if outside_id.strip() else new_code()
        signed = self._signed(by)
        new = Account(
            id=AccountId(self._new_id()),
            name=name,
            sign_in_name=sign_in_name.strip() or free_sign_in_name(name, self._accounts.all()),
            roles=frozenset(roles),
            password_hash=self._passwords.hashed(password) if password else "",
            password_set_at=signed.at if password else None,
            must_choose=bool(password),
            outside_id=outside_id.strip(),
            created=signed,
        )
        if not new.roles:
            raise InvalidInputError(f"Give {new.name} at least one role.")

        def make(accounts: Sequence[Account]) -> tuple[Account, PeopleEntry]:
            refuse_taken(new, accounts)
            return new, _entry(signed, new, f"added as {roles_in_words(new.roles)}")

        return Given(account=self._accounts.apply(make), password=password)

    @needs(Action.MANAGE_PEOPLE)
    def set_roles(self, account_id: AccountId, roles: Iterable[Role], *, by: Operator) -> Account:
        """Change what somebody is; it counts from their next click on."""
        held = frozenset(roles)
        if not held:
            raise InvalidInputError("Give at least one role, or disable the account.")
        return self._change(
            account_id,
            lambda account: replace(account, roles=held),
            did=lambda before, _: f"{roles_in_words(before.roles)} → {roles_in_words(held)}",
            by=by,
        )

    @needs(Action.MANAGE_PEOPLE)
    def set_outside_id(self, account_id: AccountId, outside_id: str, *, by: Operator) -> Account:
        """Say what the shop's identity provider calls this person; empty: it does not know them."""
        return self._change(
            account_id,
            lambda account: replace(account, outside_id=outside_id.strip()),
            did=lambda _, after: f"signs in from outside as '{after.outside_id}'",
            by=by,
        )

    @needs(Action.MANAGE_PEOPLE)
    def reset_password(self, account_id: AccountId, *, by: Operator) -> Given:
        """Make a first password anew and end every session of this person."""
        password = new_code()
        made = self._passwords.hashed(password)
        now = self._clock()
        account = self._change(
            account_id,
            lambda account: replace(
                account, password_hash=made, password_set_at=now, must_choose=True
            ),
            did=lambda _, __: "password reset",
            by=by,
        )
        self._sessions.end_all(account_id)
        return Given(account=account, password=password)

    @needs(Action.MANAGE_PEOPLE)
    def disable(self, account_id: AccountId, *, by: Operator) -> Account:
        """Let nobody in by this account any more; its name stays where it stands."""
        signed = self._signed(by)
        account = self._change(
            account_id,
            lambda account: replace(account, disabled=account.disabled or signed),
            did=lambda _, __: "disabled",
            by=by,
        )
        self._sessions.end_all(account_id)
        return account

    @needs(Action.MANAGE_PEOPLE)
    def enable(self, account_id: AccountId, *, by: Operator) -> Account:
        return self._change(
            account_id,
            lambda account: replace(account, disabled=None),
            did=lambda _, __: "enabled again",
            by=by,
        )

    @needs(Action.MANAGE_PEOPLE)
    def sessions(self, account_id: AccountId, *, by: Operator) -> list[Session]:  # noqa: ARG002 - asked by 'needs'
        """Return where this person is signed in, the last used first."""
        return self._sessions.of(account_id)

    @needs(Action.MANAGE_PEOPLE)
    def end_sessions(self, account_id: AccountId, *, by: Operator) -> int:
        """End every session of this person and return how many there were."""
        ended = self._sessions.end_all(account_id)
        self._change(
            account_id, lambda account: account, did=lambda _, __: "all sessions ended", by=by
        )
        return ended

    def _change(
        self,
        account_id: AccountId,
        change: Callable[[Account], Account],
        *,
        did: Callable[[Account, Account], str],
        by: Operator,
    ) -> Account:
        signed = self._signed(by)

        def make(accounts: Sequence[Account]) -> tuple[Account, PeopleEntry]:
            before = next((each for each in accounts if each.id == account_id), None)
            if before is None:
                raise NotFoundError("There is no such account.")
            after = change(before)
            refuse_taken(after, accounts)
            if _was_administrator(before) and not _was_administrator(after):
                others = (each for each in accounts if each.id != account_id)
                refuse_without_administrator([*others, after])
            return after, _entry(signed, after, did(before, after))

        return self._accounts.apply(make)

    def _signed(self, by: Operator) -> Signed:
        return Signed(by=by.name, at=self._clock())


def _was_administrator(account: Account) -> bool:
    return account.may_sign_in and Role.ADMINISTRATOR in account.roles


def _entry(signed: Signed, account: Account, did: str) -> PeopleEntry:
    return PeopleEntry(signed=signed, account_id=account.id, name=account.name, did=did)
