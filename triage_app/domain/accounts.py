"""People of the shop: who they are, how they sign in, and what may not be done to an account.

An account is disabled and never deleted, and its name never changes: names stand in journals and
under signatures, and two names are told apart there by ``is_same_person``.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from triage_app.domain.errors import InvalidInputError, NotAllowedError
from triage_app.domain.ids import AccountId
from triage_app.domain.permissions import ROLE_NAMES, Role
from triage_app.domain.signed import Operator, Signed, is_same_person

LONGEST_SIGN_IN_NAME = 40
# Invented people of the demo; nothing but a program started as the demo lets them in.
DEMO_PREFIX = "demo-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """One person. Without ``password_hash`` they sign in by ``outside_id`` or not at all.

    ``outside_id`` is what the shop's own identity provider calls them. ``must_choose``: the
    password was made by somebody else and opens nothing but the choice of an own one.
    """

    id: AccountId
    name: str
    sign_in_name: str
    roles: frozenset[Role]
    created: Signed
    password_hash: str = field(default="", repr=False)
    password_set_at: datetime | None = None
    must_choose: bool = False
    outside_id: str = ""
    disabled: Signed | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", Operator(name=self.name).name)
        object.__setattr__(self, "sign_in_name", checked_sign_in_name(self.sign_in_name))

    @property
    def operator(self) -> Operator:
        return Operator(name=self.name, roles=self.roles)

    @property
    def is_demo(self) -> bool:
        return self.id.startswith(DEMO_PREFIX)

    @property
    def may_sign_in(self) -> bool:
        """Tell whether there is any way in for this person."""
        return self.disabled is None and bool(self.password_hash or self.outside_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class PeopleEntry:
    """One line of the record of what was done to accounts, and by whom."""

    signed: Signed
    account_id: AccountId
    name: str
    did: str


def checked_sign_in_name(text: str) -> str:
    """Return the name as it is kept: small letters, no spaces; InvalidInputError if none."""
    name = text.strip().casefold()
    fits = 2 <= len(name) <= LONGEST_SIGN_IN_NAME and all(
        letter.isalnum() or letter in ".-_@" for letter in name
    )
    if not fits:
        raise InvalidInputError(
            f"A sign-in name has 2 to {LONGEST_SIGN_IN_NAME} letters or digits, without spaces."
        )
    return name


def free_sign_in_name(name: str, accounts: Iterable[Account]) -> str:
    """Return a sign-in name for a person who asked for none: the first word, else all of them."""
    words = ["".join(filter(str.isalnum, word)) for word in name.casefold().split()]
    taken = {account.sign_in_name for account in accounts}
    first = next((word for word in words if len(word) > 1), "")
    return first if first and first not in taken else ".".join(filter(None, words))


def account_called(typed: str, accounts: Iterable[Account]) -> Account | None:
    """Return whom a sign-in form means: by sign-in name, or by the full name."""
    wanted = typed.strip()
    for account in accounts:
        if account.sign_in_name == wanted.casefold() or is_same_person(account.name, wanted):
            return account
    return None


def refuse_taken(new: Account, accounts: Sequence[Account]) -> None:
    """Raise InvalidInputError where ``new`` would be somebody's second account.

    A person with two could accept their own work, so disabled accounts count too.
    """
    for other in (account for account in accounts if account.id != new.id):
        if is_same_person(other.name, new.name):
            off = " It is disabled; enable it again." if other.disabled else ""
            raise InvalidInputError(
                f"There is an account of {other.name} already, and a person has one only.{off}"
            )
        if other.sign_in_name == new.sign_in_name:
            raise InvalidInputError(f"The sign-in name '{new.sign_in_name}' is taken.")
        if new.outside_id and other.outside_id == new.outside_id:
            raise InvalidInputError(f"{other.name} signs in as '{new.outside_id}' already.")


def refuse_without_administrator(accounts: Iterable[Account]) -> None:
    """Raise NotAllowedError where nobody would be left who can manage people."""
    left = (
        account.may_sign_in and not account.is_demo and Role.ADMINISTRATOR in account.roles
        for account in accounts
    )
    if not any(left):
        raise NotAllowedError(
            "This is the last administrator who can sign in. Make another one first."
        )


def roles_in_words(roles: Iterable[Role]) -> str:
    """Return "estimator, administrator"; "no role" for nobody's."""
    held = frozenset(roles)
    return ", ".join(ROLE_NAMES[role] for role in Role if role in held) or "no role"
