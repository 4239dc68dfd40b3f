"""Who is at the screen: a person with an account, known by a random token that only they hold.

A session is looked up at every request and every run of a page, and with it the account: a role
taken away, an account disabled or a session ended counts at once.
"""

import hashlib
import hmac
import logging
import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from triage_app.domain.accounts import (
    Account,
    PeopleEntry,
    account_called,
    free_sign_in_name,
    roles_in_words,
)
from triage_app.domain.errors import NotAllowedError, OwnPasswordNeededError
from triage_app.domain.ids import AccountId, Sha256
from triage_app.domain.permissions import Role
from triage_app.domain.sessions import Session
from triage_app.domain.signed import Operator, Signed
from triage_app.services.passwords import Passwords, refuse_weak
from triage_app.services.ports import AccountStore, Clock, NewId, SessionStore
from triage_app.services.shop_settings import ShopSettingsRecord
from triage_app.services.throttle import PER_ACCOUNT, PER_ADDRESS, Throttle

# A password that somebody else made; judgement.
GIVEN_PASSWORD_LASTS = timedelta(days=7)
WRONG = "The name or the password is wrong."
_LOG = logging.getLogger(__name__)
_TOUCH_AFTER = timedelta(seconds=15)


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Where a sign-in comes from. ``known``: accounts that have signed in on this browser."""

    address: str = ""
    device: str = ""
    known: frozenset[AccountId] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """Whose session a token is; a locked one shows nothing but the way to unlock it."""

    account: Account
    session: Session
    locked: bool

    @property
    def operator(self) -> Operator | None:
        return None if self.locked else self.account.operator


class SignIn:
    """``code`` opens the set-up page of a shop without people; with ``demo`` its people sign in."""

    def __init__(
        self,
        *,
        accounts: AccountStore,
        sessions: SessionStore,
        settings: ShopSettingsRecord,
        passwords: Passwords,
        clock: Clock,
        new_id: NewId,
        code: str,
        demo: bool = False,
    ) -> None:
        self._accounts = accounts
        self._sessions = sessions
        self._settings = settings
        self._passwords = passwords
        self._clock = clock
        self._new_id = new_id
        self._code = code
        self._demo = demo
        self._throttle = Throttle(clock)

    def needs_set_up(self) -> bool:
        """Tell whether nobody has an account yet: then the code makes the first one."""
        return not self._people()

    def set_up(
        self, *, code: str, name: str, password: str, roles: Iterable[Role] = (), caller: Caller
    ) -> str:
        """Make the first administrator and return a session token of theirs.

        Raises NotAllowedError for a wrong code, and for any once somebody has an account;
        InvalidInputError for a name or password that cannot be one. Then nothing is made.
        """
        self._throttle.begin(("code", PER_ACCOUNT), (caller.address, PER_ADDRESS))
        if not self.needs_set_up():
            raise NotAllowedError("This shop is set up already. Sign in with an account of it.")
        if not hmac.compare_digest(code.strip().encode(), self._code.encode()):
            raise NotAllowedError(
                "The start code is wrong. It is printed where the program was started."
            )
        self._throttle.right("code", caller.address)
        self._refuse_weak(password, name)
        signed = Signed(by=Operator(name=name).name, at=self._clock())
        first = Account(
            id=AccountId(self._new_id()),
            name=name,
            sign_in_name=free_sign_in_name(signed.by, ()),
            roles=frozenset({Role.ADMINISTRATOR, *roles}),
            password_hash=self._passwords.hashed(password),
            password_set_at=signed.at,
            created=signed,
        )

        def make(accounts: Sequence[Account]) -> tuple[Account, PeopleEntry]:
            if any(not account.is_demo for account in accounts):
                raise NotAllowedError("This shop is set up already. Sign in with an account of it.")
            did = f"set the shop up as {roles_in_words(first.roles)}"
            return first, PeopleEntry(signed=signed, account_id=first.id, name=first.name, did=did)

        return self._open(self._accounts.apply(make), caller)

    def sign_in(self, *, name: str, password: str, own: str = "", caller: Caller) -> str:
        """Return a new session token for a person with an account.

        ``own`` is the password that they choose in the place of one they were given. Raises
        NotAllowedError with one and the same sentence for a wrong name and a wrong password, and
        while either waits; OwnPasswordNeededError; InvalidInputError for a weak choice.
        """
        account = account_called(name, self._people())
        self._check(account, name, password, caller)
        if account is None:
            raise NotAllowedError(WRONG)
        if account.must_choose:
            account = self._chosen(account, own)
        elif self._passwords.is_outdated(account.password_hash):
            self._keep_password(account, password)
        return self._open(account, caller)

    def enter(self, account: Account, *, caller: Caller) -> str:
        """Return a new session token for somebody whom the shop's identity provider vouches for."""
        if account.disabled is not None:
            raise NotAllowedError("This account is disabled. Ask an administrator.")
        return self._open(account, caller)

    def seat(self, token: str | None) -> Seat | None:
        """Return whose session this is, locked or not; None if nobody's or over."""
        if not token:
            return None
        session = self._sessions.find(_hash(token))
        if session is None:
            return None
        account = self._accounts.get(session.account_id)
        settings, now = self._settings.now(), self._clock()
        if account is None or not self._is_let_in(account) or session.is_over(now, settings):
            self._sessions.remove(_hash(token))
            return None
        return Seat(account=account, session=session, locked=session.is_locked(now, settings))

    def who(self, token: str | None) -> Operator | None:
        """Return who holds this token, in the roles of this moment; None if nobody or locked.

        Asking counts as use, so only what a person does may ask.
        """
        seat = self.seat(token)
        if seat is None or token is None or seat.operator is None:
            return None
        now = self._clock()
        if now - seat.session.last_used_at > _TOUCH_AFTER:
            self._sessions.touch(_hash(token), now)
        return seat.operator

    def lock(self, token: str | None) -> None:
        """Lock the session until its person shows again who they are; harmless when over."""
        if token:
            self._sessions.lock(_hash(token))

    def unlock(self, token: str | None, *, password: str, caller: Caller) -> None:
        """Go on with a locked session; NotAllowedError if it is over or the password wrong."""
        seat = self.seat(token)
        if seat is None or token is None:
            raise NotAllowedError("This session is over. Sign in again.")
        self._check(seat.account, seat.account.sign_in_name, password, caller)
        self._sessions.unlock(_hash(token), self._clock())

    def sign_out(self, token: str | None) -> None:
        """End the session; harmless when there is none."""
        if token:
            self._sessions.remove(_hash(token))

    def faces(self, known: Iterable[AccountId]) -> list[Account]:
        """Return the people to offer on a browser in which these have signed in, in that order."""
        people = {account.id: account for account in self._people()}
        invented = (account.id for account in people.values() if account.is_demo)
        listed = dict.fromkeys([*known, *invented])
        return [people[each] for each in listed if each in people]

    def _check(self, account: Account | None, name: str, password: str, caller: Caller) -> None:
        """Raise NotAllowedError unless the password is this account's; as slow for nobody's."""
        own_browser = account is not None and account.id in caller.known
        who = account.id if account is not None else name.strip().casefold()[:100]
        key = (who, own_browser)
        asked = [(key, PER_ACCOUNT)]
        if not own_browser:
            asked.append(((caller.address, False), PER_ADDRESS))
        self._throttle.begin(*asked)
        right = self._passwords.is_right(password, account.password_hash if account else "")
        if not right or account is None:
            _LOG.info("sign_in_refused address=%s", caller.address)
            raise NotAllowedError(WRONG)
        self._throttle.right(*(key for key, _ in asked))

    def _chosen(self, account: Account, own: str) -> Account:
        given = account.password_set_at
        if given is None or self._clock() - given > GIVEN_PASSWORD_LASTS:
            raise NotAllowedError("This first password is too old. Ask for a new one.")
        if not own:
            raise OwnPasswordNeededError("Choose a password of your own; nobody else will know it.")
        self._refuse_weak(own, account.name, account.sign_in_name)
        if self._passwords.is_right(own, account.password_hash):
            raise OwnPasswordNeededError("Choose another password than the one you were given.")
        signed = Signed(by=account.name, at=self._clock())
        return self._keep_password(account, own, signed=signed)

    def _keep_password(
        self, account: Account, password: str, *, signed: Signed | None = None
    ) -> Account:
        """Store a hash of the password; ``signed`` where it is a new one."""
        made = self._passwords.hashed(password)

        def change(accounts: Sequence[Account]) -> tuple[Account, PeopleEntry | None]:
            now = next(each for each in accounts if each.id == account.id)
            if now.password_hash != account.password_hash:
                raise NotAllowedError("The password was changed meanwhile. Sign in again.")
            if signed is None:
                return replace(now, password_hash=made), None
            entry = PeopleEntry(
                signed=signed, account_id=now.id, name=now.name, did="chose a password"
            )
            chosen = replace(now, password_hash=made, password_set_at=signed.at, must_choose=False)
            return chosen, entry

        return self._accounts.apply(change)

    def _refuse_weak(self, password: str, *names: str) -> None:
        least = self._settings.now().password_min_length
        refuse_weak(password, least_length=least, names=names)

    def _open(self, account: Account, caller: Caller) -> str:
        token, now = secrets.token_urlsafe(32), self._clock()
        session = Session(
            id=self._new_id(),
            account_id=account.id,
            opened_at=now,
            last_used_at=now,
            device=caller.device[:200],
            address=caller.address[:64],
        )
        self._sessions.add(_hash(token), session)
        _LOG.info("signed_in account=%s session=%s", account.id, session.id)
        return token

    def _people(self) -> list[Account]:
        """Return the accounts that can sign in here: the demo's own only where it is the demo."""
        return [account for account in self._accounts.all() if self._is_let_in(account)]

    def _is_let_in(self, account: Account) -> bool:
        return account.disabled is None and (self._demo or not account.is_demo)


def token_hash(token: str) -> Sha256:
    """Return what the store knows of a token."""
    return _hash(token)


def _hash(token: str) -> Sha256:
    return Sha256(hashlib.sha256(token.encode()).hexdigest())
