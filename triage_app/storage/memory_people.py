"""Accounts and sessions that are forgotten when the program ends; for tests and a first look."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from triage_app.domain.accounts import Account, PeopleEntry
from triage_app.domain.ids import AccountId, Sha256
from triage_app.domain.sessions import Session
from triage_app.services.ports import ChangePeople


class MemoryAccounts:
    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: dict[AccountId, Account] = {}
        self._log: list[PeopleEntry] = []

    def all(self) -> list[Account]:
        with self._lock:
            return self._sorted()

    def get(self, account_id: AccountId) -> Account | None:
        return self._kept.get(account_id)

    def apply(self, change: ChangePeople) -> Account:
        with self._lock:
            account, entry = change(self._sorted())
            self._kept[account.id] = account
            if entry is not None:
                self._log.append(entry)
            return account

    def log(self, *, limit: int = 200) -> list[PeopleEntry]:
        return self._log[::-1][:limit]

    def _sorted(self) -> list[Account]:
        return sorted(self._kept.values(), key=lambda account: account.name)


class MemorySessions:
    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: dict[Sha256, Session] = {}

    def add(self, token_sha256: Sha256, session: Session) -> None:
        self._kept[token_sha256] = session

    def find(self, token_sha256: Sha256) -> Session | None:
        return self._kept.get(token_sha256)

    def of(self, account_id: AccountId) -> list[Session]:
        with self._lock:
            found = [each for each in self._kept.values() if each.account_id == account_id]
        return sorted(found, key=lambda session: session.last_used_at, reverse=True)

    def touch(self, token_sha256: Sha256, at: datetime) -> None:
        self._change(token_sha256, lambda session: replace(session, last_used_at=at))

    def lock(self, token_sha256: Sha256) -> None:
        self._change(token_sha256, lambda session: replace(session, locked=True))

    def unlock(self, token_sha256: Sha256, at: datetime) -> None:
        self._change(token_sha256, lambda kept: replace(kept, locked=False, last_used_at=at))

    def remove(self, token_sha256: Sha256) -> None:
        self._kept.pop(token_sha256, None)

    def end(self, account_id: AccountId, session_id: str) -> None:
        self._end(lambda _, kept: kept.account_id == account_id and kept.id == session_id)

    def end_all(self, account_id: AccountId, *, but: Sha256 | None = None) -> int:
        return self._end(lambda token, kept: kept.account_id == account_id and token != but)

    def _change(self, token_sha256: Sha256, change: Callable[[Session], Session]) -> None:
        with self._lock:
            known = self._kept.get(token_sha256)
            if known is not None:
                self._kept[token_sha256] = change(known)

    def _end(self, is_meant: Callable[[Sha256, Session], bool]) -> int:
        with self._lock:
            ended = [token for token, kept in self._kept.items() if is_meant(token, kept)]
            for token in ended:
                del self._kept[token]
        return len(ended)
