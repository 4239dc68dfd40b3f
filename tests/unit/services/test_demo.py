"""The demo case: taken in once, and that of an earlier version of the program stays."""

import pytest

from tests.unit.services.shop import a_shop
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator
from triage_app.services import demo

DANA = Operator(name="Dana Demo", roles=frozenset(Role))


def test_the_demo_of_an_earlier_version_stays_and_is_no_error(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shop = a_shop()
    earlier = demo.load_demo(shop, by=DANA)
    assert demo.load_demo(shop, by=DANA) == earlier
    text = demo._text()
    monkeypatch.setattr(demo, "_text", lambda: f"{text}\n# one line more\n")
    assert demo.load_demo(shop, by=DANA) == earlier
    assert shop.cases.count() == 1
