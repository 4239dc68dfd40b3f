"""Signing in by the word of the shop's identity provider; who is unknown here gets in nowhere."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from triage_app.domain.accounts import (
    Account,
    PeopleEntry,
    free_sign_in_name,
    refuse_taken,
    roles_in_words,
)
from triage_app.domain.errors import NotAllowedError
from triage_app.domain.ids import AccountId
from triage_app.domain.outside import OutsideRules
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Signed
from triage_app.services.ports import AccountStore, Clock, NewId
from triage_app.services.sign_in import Caller, SignIn

# The provider's word is for now; what lay about in a browser for longer lets nobody in.
FRESH_FOR = timedelta(minutes=5)
UNKNOWN = "The identity provider knows you, and this shop does not. Ask an administrator."
_BY_GROUPS = "the identity provider"


class OutsideSignIn:
    def __init__(
        self,
        *,
        accounts: AccountStore,
        sign_in: SignIn,
        clock: Clock,
        new_id: NewId,
        rules: OutsideRules | None,
    ) -> None:
        self._accounts = accounts
        self._sign_in = sign_in
        self._clock = clock
        self._new_id = new_id
        self._is_open = rules is not None
        self._rules = rules or OutsideRules()

    def enter(self, claims: Mapping[str, object], *, caller: Caller) -> str:
        """Return a session token for the person whom these checked claims name.

        Raises NotAllowedError for an unknown or disabled person, for one whose groups give no
        role, and for claims that are not of this moment; InvalidInputError where the account that
        groups ask for would be somebody's second one.
        """
        if not self._is_open:
            raise NotAllowedError("This shop has no identity provider.")
        self._refuse_stale(claims)
        known_as = self._rules.id_in(claims)
        if not known_as:
            raise NotAllowedError(UNKNOWN)
        account = self._known(known_as)
        if self._rules.roles_of_group:
            roles = self._rules.roles_in(claims)
            if not roles:
                raise NotAllowedError(UNKNOWN)
            account = self._with_roles(account, roles, known_as, claims)
        if account is None:
            raise NotAllowedError(UNKNOWN)
        return self._sign_in.enter(account, caller=caller)

    def _refuse_stale(self, claims: Mapping[str, object]) -> None:
        issued = claims.get("iat")
        now = self._clock().timestamp()
        if not isinstance(issued, int | float) or abs(now - issued) > FRESH_FOR.total_seconds():
            raise NotAllowedError("Sign in at the identity provider once more.")

    def _known(self, known_as: str) -> Account | None:
        return next(
            (
                account
                for account in self._accounts.all()
                if account.outside_id and self._rules.is_same(account.outside_id, known_as)
            ),
            None,
        )

    def _with_roles(
        self,
        account: Account | None,
        roles: frozenset[Role],
        known_as: str,
        claims: Mapping[str, object],
    ) -> Account:
        """Return the account with the roles of this moment; made where there is none."""
        if account is not None and (account.disabled is not None or account.roles == roles):
            return account
        signed = Signed(by=_BY_GROUPS, at=self._clock())
        given_name = claims.get("name")
        name = given_name if isinstance(given_name, str) else known_as
        new_id = AccountId(self._new_id())

        def change(accounts: Sequence[Account]) -> tuple[Account, PeopleEntry]:
            if account is None:
                after = Account(
                    id=new_id,
                    name=name,
                    sign_in_name=free_sign_in_name(name, accounts),
                    roles=roles,
                    outside_id=known_as,
                    created=signed,
                )
            else:
                now = next(each for each in accounts if each.id == account.id)
                after = replace(now, roles=roles)
            refuse_taken(after, accounts)
            did = f"is {roles_in_words(roles)} by the groups outside"
            return after, PeopleEntry(signed=signed, account_id=after.id, name=after.name, did=did)

        return self._accounts.apply(change)
