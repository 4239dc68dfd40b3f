"""Wrong passwords: a growing pause, never a lock for good, and nobody kept out by a stranger."""

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.people import HERE, PASSWORD, a_person
from tests.unit.services.shop import TestClock, a_shop
from triage_app.domain.errors import NotAllowedError
from triage_app.services import Services
from triage_app.services.sign_in import WRONG, Caller
from triage_app.services.throttle import FORGET_AFTER, MOST_KEYS, PER_ACCOUNT, Throttle

MINUTE = timedelta(minutes=1)


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def shop(clock: TestClock) -> Services:
    shop = a_shop(clock)
    a_person(shop, "Erin Estimator")
    return shop


def enter(
    shop: Services, password: str = PASSWORD, caller: Caller = HERE, name: str = "erin"
) -> str:
    return shop.sign_in.sign_in(name=name, password=password, caller=caller)


def wrong(shop: Services, times: int, caller: Caller = HERE, name: str = "erin") -> None:
    for _ in range(times):
        with pytest.raises(NotAllowedError, match=WRONG):
            enter(shop, "wrong", caller, name)


def test_pauses_double_up_to_the_longest() -> None:
    pauses = [PER_ACCOUNT.pause_after(count).total_seconds() for count in range(4, 9)]
    assert pauses == [0, 2, 4, 8, 16]
    assert PER_ACCOUNT.pause_after(1_000_000) == timedelta(minutes=15)


def test_after_five_wrong_passwords_even_the_right_one_waits_and_then_enters(
    shop: Services, clock: TestClock
) -> None:
    wrong(shop, 5)
    with pytest.raises(NotAllowedError, match="Wait 2 s"):
        enter(shop)
    clock.forward(timedelta(seconds=2))
    assert enter(shop)
    wrong(shop, 5)


def test_an_unknown_name_waits_just_like_a_known_one(shop: Services) -> None:
    wrong(shop, 5, name="nobody")
    with pytest.raises(NotAllowedError, match="Wait 2 s"):
        enter(shop, name=" NOBODY ")


def test_a_refusal_while_waiting_makes_the_wait_no_longer(shop: Services, clock: TestClock) -> None:
    wrong(shop, 5)
    for _ in range(50):
        with pytest.raises(NotAllowedError, match="Too many"):
            enter(shop)
    clock.forward(timedelta(seconds=2))
    assert enter(shop)


def test_however_long_somebody_guesses_the_person_enters_after_the_longest_pause(
    shop: Services, clock: TestClock
) -> None:
    for _ in range(40):
        wrong(shop, 1)
        clock.forward(PER_ACCOUNT.longest_pause)
    assert enter(shop)


def test_a_strangers_guesses_keep_nobody_out_of_their_own_tablet(
    shop: Services, clock: TestClock
) -> None:
    erin = a_person(shop, "Erin Estimator")
    stranger = Caller(address="198.51.100.9")
    wrong(shop, 5, stranger)
    with pytest.raises(NotAllowedError, match="Too many"):
        enter(shop, caller=stranger)
    assert enter(shop, caller=replace(HERE, known=frozenset({erin.id})))


def test_an_address_that_guesses_at_many_names_is_slowed_down(shop: Services) -> None:
    for number in range(30):
        wrong(shop, 1, name=f"name{number}")
    with pytest.raises(NotAllowedError, match="Too many"):
        enter(shop)
    assert enter(shop, caller=Caller(address="198.51.100.9"))


def test_one_right_password_does_not_let_an_address_guess_on(shop: Services) -> None:
    for number in range(29):
        wrong(shop, 1, name=f"name{number}")
    assert enter(shop)
    wrong(shop, 1, name="one-more")
    with pytest.raises(NotAllowedError, match="Too many"):
        enter(shop)


def test_unlocking_is_slowed_down_by_the_same_count(shop: Services) -> None:
    token = enter(shop)
    shop.sign_in.lock(token)
    for _ in range(5):
        with pytest.raises(NotAllowedError, match=WRONG):
            shop.sign_in.unlock(token, password="wrong", caller=HERE)  # noqa: S106
    with pytest.raises(NotAllowedError, match="Too many"):
        shop.sign_in.unlock(token, password=PASSWORD, caller=HERE)


def test_wrong_tries_are_forgotten_after_a_day(clock: TestClock) -> None:
    throttle = Throttle(clock)
    for _ in range(5):
        throttle.begin(("erin", PER_ACCOUNT))
    clock.forward(FORGET_AFTER + MINUTE)
    for _ in range(5):
        throttle.begin(("erin", PER_ACCOUNT))


def test_any_number_of_made_up_names_takes_a_bounded_place(clock: TestClock) -> None:
    throttle = Throttle(clock)
    for number in range(MOST_KEYS + 100):
        throttle.begin((f"name{number}", PER_ACCOUNT))
    assert len(throttle._tries) == MOST_KEYS
