"""What every session store promises."""

from dataclasses import replace
from datetime import timedelta

from tests.builders import NOON
from triage_app.domain.ids import AccountId, Sha256
from triage_app.domain.sessions import Session
from triage_app.storage.open import Stores

TOKEN, OTHER_TOKEN = Sha256("ab" * 32), Sha256("cd" * 32)
ERIN = AccountId("a1")
SESSION = Session(
    id="s1",
    account_id=ERIN,
    opened_at=NOON,
    last_used_at=NOON,
    device="Chrome, Android",
    address="192.0.2.7",
)
OTHER = replace(SESSION, id="s2", last_used_at=NOON + timedelta(minutes=1))
LATER = NOON + timedelta(hours=1)


def test_a_session_is_found_until_it_is_removed(stores: Stores) -> None:
    stores.sessions.add(TOKEN, SESSION)
    assert stores.sessions.find(TOKEN) == SESSION
    stores.sessions.remove(TOKEN)
    assert stores.sessions.find(TOKEN) is None


def test_touching_a_session_renews_its_time(stores: Stores) -> None:
    stores.sessions.add(TOKEN, SESSION)
    stores.sessions.touch(TOKEN, LATER)
    assert stores.sessions.find(TOKEN) == replace(SESSION, last_used_at=LATER)


def test_a_session_is_locked_until_it_is_unlocked(stores: Stores) -> None:
    stores.sessions.add(TOKEN, SESSION)
    stores.sessions.lock(TOKEN)
    assert stores.sessions.find(TOKEN) == replace(SESSION, locked=True)
    stores.sessions.unlock(TOKEN, LATER)
    assert stores.sessions.find(TOKEN) == replace(SESSION, last_used_at=LATER)


def test_an_unknown_session_is_neither_touched_nor_made(stores: Stores) -> None:
    stores.sessions.touch(TOKEN, NOON)
    stores.sessions.lock(TOKEN)
    stores.sessions.unlock(TOKEN, NOON)
    stores.sessions.remove(TOKEN)
    stores.sessions.end(ERIN, "s1")
    assert stores.sessions.find(TOKEN) is None


def test_adding_a_session_again_replaces_it(stores: Stores) -> None:
    stores.sessions.add(TOKEN, SESSION)
    stores.sessions.add(TOKEN, replace(SESSION, last_used_at=LATER))
    assert stores.sessions.find(TOKEN) == replace(SESSION, last_used_at=LATER)


def test_a_persons_sessions_are_listed_the_last_used_first(stores: Stores) -> None:
    stores.sessions.add(TOKEN, SESSION)
    stores.sessions.add(OTHER_TOKEN, OTHER)
    assert stores.sessions.of(ERIN) == [OTHER, SESSION]
    assert stores.sessions.of(AccountId("nobody")) == []


def test_one_session_ends_by_its_id_and_only_for_its_own_person(stores: Stores) -> None:
    stores.sessions.add(TOKEN, SESSION)
    stores.sessions.add(OTHER_TOKEN, OTHER)
    stores.sessions.end(AccountId("somebody else"), "s1")
    assert stores.sessions.of(ERIN) == [OTHER, SESSION]
    stores.sessions.end(ERIN, "s1")
    assert stores.sessions.of(ERIN) == [OTHER]


def test_all_sessions_of_a_person_end_but_for_the_one_that_asks(stores: Stores) -> None:
    stranger = replace(SESSION, id="s3", account_id=AccountId("a2"))
    stores.sessions.add(TOKEN, SESSION)
    stores.sessions.add(OTHER_TOKEN, OTHER)
    stores.sessions.add(Sha256("ef" * 32), stranger)
    assert stores.sessions.end_all(ERIN, but=TOKEN) == 1
    assert stores.sessions.of(ERIN) == [SESSION]
    assert stores.sessions.end_all(ERIN) == 1
    assert stores.sessions.of(ERIN) == []
    assert stores.sessions.of(stranger.account_id) == [stranger]
