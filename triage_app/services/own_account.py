"""What everybody does with their own account: choose a password, see and end sessions."""

from collections.abc import Sequence
from dataclasses import replace

from triage_app.domain.accounts import Account, PeopleEntry
from triage_app.domain.errors import NotAllowedError, NotFoundError
from triage_app.domain.permissions import Action
from triage_app.domain.sessions import Session
from triage_app.domain.signed import Operator, Signed
from triage_app.services.passwords import Passwords, refuse_weak
from triage_app.services.permission import needs
from triage_app.services.ports import AccountStore, Clock, SessionStore
from triage_app.services.shop_settings import ShopSettingsRecord
from triage_app.services.sign_in import token_hash
from triage_app.services.throttle import PER_ACCOUNT, Throttle


class OwnAccount:
    def __init__(
        self,
        *,
        accounts: AccountStore,
        sessions: SessionStore,
        settings: ShopSettingsRecord,
        passwords: Passwords,
        clock: Clock,
    ) -> None:
        self._accounts = accounts
        self._sessions = sessions
        self._settings = settings
        self._passwords = passwords
        self._clock = clock
        self._throttle = Throttle(clock)

    @needs(Action.OWN_ACCOUNT)
    def account(self, *, by: Operator) -> Account:
        """Return the account that bears this name; raises NotFoundError."""
        for account in self._accounts.all():
            if account.name == by.name:
                return account
        raise NotFoundError(f"There is no account of {by.name}.")

    @needs(Action.OWN_ACCOUNT)
    def change_password(self, *, now: str, new: str, token: str, by: Operator) -> None:
        """Choose another password and end one's sessions but for the one with this token.

        Raises NotAllowedError when ``now`` is not the password, InvalidInputError when ``new``
        cannot be one; then all stays as it was.
        """
        account = self.account(by=by)
        self._throttle.begin((account.id, PER_ACCOUNT))
        if not self._passwords.is_right(now, account.password_hash):
            raise NotAllowedError("The password that you have now is another one.")
        self._throttle.right(account.id)
        least = self._settings.now().password_min_length
        refuse_weak(new, least_length=least, names=(account.name, account.sign_in_name))
        made = self._passwords.hashed(new)
        signed = Signed(by=by.name, at=self._clock())

        def change(accounts: Sequence[Account]) -> tuple[Account, PeopleEntry]:
            stored = next(each for each in accounts if each.id == account.id)
            if stored.password_hash != account.password_hash:
                raise NotAllowedError("The password was changed meanwhile. Sign in again.")
            entry = PeopleEntry(
                signed=signed, account_id=stored.id, name=stored.name, did="chose a password"
            )
            return replace(stored, password_hash=made, password_set_at=signed.at), entry

        self._accounts.apply(change)
        self._sessions.end_all(account.id, but=token_hash(token))

    @needs(Action.OWN_ACCOUNT)
    def sessions(self, *, by: Operator) -> list[Session]:
        """Return where one is signed in, the last used first."""
        return self._sessions.of(self.account(by=by).id)

    @needs(Action.OWN_ACCOUNT)
    def end_session(self, session_id: str, *, by: Operator) -> None:
        """End one of one's own sessions; somebody else's is left alone."""
        self._sessions.end(self.account(by=by).id, session_id)
