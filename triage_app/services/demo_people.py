"""Invented people for the demo, one per role, all with the start code as their password."""

from collections.abc import Sequence
from dataclasses import replace

from triage_app.domain.accounts import DEMO_PREFIX, Account, PeopleEntry
from triage_app.domain.ids import AccountId
from triage_app.domain.permissions import Action, Role
from triage_app.domain.signed import Operator, Signed, is_same_person
from triage_app.services.passwords import Passwords
from triage_app.services.permission import needs
from triage_app.services.ports import AccountStore, Clock

DEMO_PEOPLE = {
    Role.ESTIMATOR: "Erin Estimator",
    Role.SENIOR_TECHNICIAN: "Sam Senior",
    Role.ADJUSTER: "Ida Insurer",
    Role.ADMINISTRATOR: "Ana Admin",
}


class DemoPeople:
    def __init__(self, *, accounts: AccountStore, passwords: Passwords, clock: Clock) -> None:
        self._accounts = accounts
        self._passwords = passwords
        self._clock = clock

    @needs(Action.MANAGE_PEOPLE)
    def make(self, code: str, *, by: Operator) -> bool:
        """Give the demo's people this code as password; False, and nothing done, in a real shop.

        Where anybody has an account of their own it is no demo, and a known password no joke.
        """
        if any(not account.is_demo for account in self._accounts.all()):
            return False
        signed = Signed(by=by.name, at=self._clock())
        made = self._passwords.hashed(code)
        for role, name in DEMO_PEOPLE.items():
            self._put(role, name, made, signed)
        return True

    def _put(self, role: Role, name: str, password_hash: str, signed: Signed) -> None:
        person = Account(
            id=AccountId(f"{DEMO_PREFIX}{role.replace('_', '-')}"),
            name=name,
            sign_in_name=name.split(maxsplit=1)[0],
            roles=frozenset({role}),
            password_hash=password_hash,
            password_set_at=signed.at,
            created=signed,
        )

        def put(accounts: Sequence[Account]) -> tuple[Account, PeopleEntry | None]:
            for other in accounts:
                if other.id == person.id:
                    return replace(person, created=other.created), None
                if is_same_person(other.name, name):
                    return other, None
            return person, None

        self._accounts.apply(put)
