"""Who is at the screen: a named operator, known by a random token that only they hold.

Full accounts and roles come later; for now a shop-wide sign-in code keeps strangers out, and the
name is what the journal records.
"""

import hashlib
import hmac
import secrets
import threading
from datetime import timedelta

from triage_app.domain.errors import NotAllowedError
from triage_app.domain.ids import Sha256
from triage_app.domain.signed import Operator
from triage_app.services.ports import Clock, SessionStore

SESSION_IDLE = timedelta(hours=12)
_TOUCH_AFTER = timedelta(minutes=5)
MAX_WRONG_CODES = 10
WRONG_CODE_PAUSE = timedelta(minutes=1)


class SignIn:
    def __init__(self, *, sessions: SessionStore, clock: Clock, code: str) -> None:
        self._sessions = sessions
        self._clock = clock
        self._code = code
        self._lock = threading.Lock()
        self._wrong_codes: list[float] = []

    def sign_in(self, *, name: str, code: str) -> str:
        """Return a new session token for a named person who knows the shop's sign-in code.

        Raises NotAllowedError for a wrong code, and for any code while too many wrong ones were
        given within a minute; InvalidInputError for a name that cannot be one.
        """
        operator = Operator(name=name)
        self._check_code(code)
        token = secrets.token_urlsafe(32)
        self._sessions.add(_hash(token), operator, self._clock())
        return token

    def who(self, token: str | None) -> Operator | None:
        """Return who holds this token, or None if nobody or idle for too long."""
        if not token:
            return None
        found = self._sessions.find(_hash(token))
        if found is None:
            return None
        operator, last_used = found
        now = self._clock()
        if now - last_used > SESSION_IDLE:
            self._sessions.remove(_hash(token))
            return None
        if now - last_used > _TOUCH_AFTER:
            self._sessions.touch(_hash(token), now)
        return operator

    def sign_out(self, token: str | None) -> None:
        """End the session; harmless when there is none."""
        if token:
            self._sessions.remove(_hash(token))

    def _check_code(self, code: str) -> None:
        now = self._clock().timestamp()
        with self._lock:
            pause = WRONG_CODE_PAUSE.total_seconds()
            self._wrong_codes = [at for at in self._wrong_codes if now - at < pause]
            if len(self._wrong_codes) >= MAX_WRONG_CODES:
                raise NotAllowedError("Too many wrong sign-in codes. Wait a minute and try again.")
            if not hmac.compare_digest(code.strip().encode(), self._code.encode()):
                self._wrong_codes.append(now)
                raise NotAllowedError(
                    "The sign-in code is wrong. It is printed where the program was started."
                )


def _hash(token: str) -> Sha256:
    return Sha256(hashlib.sha256(token.encode()).hexdigest())
