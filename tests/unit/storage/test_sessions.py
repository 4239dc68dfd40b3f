"""Old sign-ins do not pile up in the database."""

from datetime import datetime, timedelta

from tests.builders import NOON
from tests.unit.storage.conftest import OpenStores
from triage_app.domain.ids import AccountId, Sha256
from triage_app.domain.sessions import Session


def a_session(name: str, at: datetime) -> Session:
    return Session(id=name, account_id=AccountId("a1"), opened_at=at, last_used_at=at)


def test_a_sign_in_of_long_ago_is_forgotten_at_the_next_one(open_shop: OpenStores) -> None:
    sessions = open_shop().sessions
    old, recent, new = (Sha256(letter * 64) for letter in "abc")
    sessions.add(old, a_session("old", NOON))
    sessions.add(recent, a_session("recent", NOON + timedelta(days=29)))
    sessions.add(new, a_session("new", NOON + timedelta(days=31)))
    assert sessions.find(old) is None
    assert sessions.find(recent) is not None
    assert sessions.find(new) is not None
