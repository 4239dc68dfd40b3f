"""What every session store promises."""

from datetime import timedelta

from tests.builders import ESTIMATOR, NOON
from triage_app.domain.ids import Sha256
from triage_app.storage.open import Stores

TOKEN = Sha256("ab" * 32)


def test_a_session_is_found_until_it_is_removed(stores: Stores) -> None:
    stores.sessions.add(TOKEN, ESTIMATOR, NOON)
    assert stores.sessions.find(TOKEN) == (ESTIMATOR, NOON)
    stores.sessions.remove(TOKEN)
    assert stores.sessions.find(TOKEN) is None


def test_touching_a_session_renews_its_time(stores: Stores) -> None:
    stores.sessions.add(TOKEN, ESTIMATOR, NOON)
    stores.sessions.touch(TOKEN, NOON + timedelta(hours=1))
    assert stores.sessions.find(TOKEN) == (ESTIMATOR, NOON + timedelta(hours=1))


def test_touching_or_removing_an_unknown_session_does_nothing(stores: Stores) -> None:
    stores.sessions.touch(TOKEN, NOON)
    stores.sessions.remove(TOKEN)
    assert stores.sessions.find(TOKEN) is None


def test_adding_a_session_again_replaces_it(stores: Stores) -> None:
    stores.sessions.add(TOKEN, ESTIMATOR, NOON)
    stores.sessions.add(TOKEN, ESTIMATOR, NOON + timedelta(minutes=1))
    assert stores.sessions.find(TOKEN) == (ESTIMATOR, NOON + timedelta(minutes=1))
