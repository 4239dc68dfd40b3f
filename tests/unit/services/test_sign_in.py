"""Sign-in: a code, a name, a token that only its holder knows."""

from datetime import timedelta

import pytest

from tests.unit.services.shop import CODE, TestClock, a_shop
from triage_app.domain.errors import InvalidInputError, NotAllowedError
from triage_app.services.sign_in import MAX_WRONG_CODES, SESSION_IDLE


def test_a_named_person_with_the_code_gets_a_token_that_names_them() -> None:
    shop = a_shop()
    token = shop.sign_in.sign_in(name="  Erin   Estimator ", code=f" {CODE} ")
    operator = shop.sign_in.who(token)
    assert operator is not None
    assert operator.name == "Erin Estimator"


@pytest.mark.parametrize("token", [None, "", "guess", "x" * 5000])
def test_nobody_holds_another_token(token: str | None) -> None:
    shop = a_shop()
    shop.sign_in.sign_in(name="Erin Estimator", code=CODE)
    assert shop.sign_in.who(token) is None


def test_signing_out_ends_the_session() -> None:
    shop = a_shop()
    token = shop.sign_in.sign_in(name="Erin Estimator", code=CODE)
    shop.sign_in.sign_out(token)
    assert shop.sign_in.who(token) is None
    shop.sign_in.sign_out(None)


@pytest.mark.parametrize("name", ["", " ", "E", "x" * 81])
def test_a_name_is_needed(name: str) -> None:
    with pytest.raises(InvalidInputError):
        a_shop().sign_in.sign_in(name=name, code=CODE)


def test_wrong_codes_are_throttled_and_the_pause_ends() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    for _ in range(MAX_WRONG_CODES):
        with pytest.raises(NotAllowedError, match="wrong"):
            shop.sign_in.sign_in(name="Erin Estimator", code="nope")
    with pytest.raises(NotAllowedError, match="Too many"):
        shop.sign_in.sign_in(name="Erin Estimator", code=CODE)
    clock.forward(timedelta(minutes=1, seconds=1))
    assert shop.sign_in.sign_in(name="Erin Estimator", code=CODE)


def test_an_idle_session_ends_and_a_used_one_lives_on() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    used = shop.sign_in.sign_in(name="Erin Estimator", code=CODE)
    idle = shop.sign_in.sign_in(name="Ida Idle", code=CODE)
    for _ in range(4):
        clock.forward(SESSION_IDLE / 2)
        assert shop.sign_in.who(used) is not None
    assert shop.sign_in.who(idle) is None
