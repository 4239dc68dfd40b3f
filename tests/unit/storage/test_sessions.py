"""Old sign-ins do not pile up in the database."""

from datetime import timedelta

from tests.builders import ESTIMATOR, NOON
from tests.unit.storage.conftest import OpenStores
from triage_app.domain.ids import Sha256


def test_a_sign_in_of_long_ago_is_forgotten_at_the_next_one(open_shop: OpenStores) -> None:
    sessions = open_shop().sessions
    old, recent, new = (Sha256(letter * 64) for letter in "abc")
    sessions.add(old, ESTIMATOR, NOON)
    sessions.add(recent, ESTIMATOR, NOON + timedelta(days=29))
    sessions.add(new, ESTIMATOR, NOON + timedelta(days=31))
    assert sessions.find(old) is None
    assert sessions.find(recent) is not None
    assert sessions.find(new) is not None
