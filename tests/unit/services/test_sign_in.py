"""Signing in: a name, a password, a token that only its holder knows; and when it is over."""

from dataclasses import replace
from datetime import timedelta
from typing import Literal

import pytest
from argon2 import PasswordHasher
from typing_extensions import override

from tests.builders import ESTIMATOR
from tests.people import ADMINISTRATOR, HERE, PASSWORD, a_person, signed_in
from tests.unit.services.shop import CHEAP, CODE, TestClock, a_shop
from triage_app.domain.errors import InvalidInputError, NotAllowedError, OwnPasswordNeededError
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.passwords import Passwords
from triage_app.services.sign_in import GIVEN_PASSWORD_LASTS, WRONG, Caller

ERIN = Operator(name="Erin Estimator", roles=frozenset({Role.ESTIMATOR}))


def erin_in(shop: Services) -> str:
    return signed_in(shop, ERIN.name, ERIN.roles)


def enter(shop: Services, name: str, password: str, caller: Caller = HERE) -> str:
    return shop.sign_in.sign_in(name=name, password=password, caller=caller)


@pytest.mark.parametrize("typed", ["erin", " ERIN ", "Erin Estimator", "estimator, erin"])
def test_a_person_signs_in_by_sign_in_name_or_full_name(typed: str) -> None:
    shop = a_shop()
    a_person(shop, ERIN.name, ERIN.roles)
    assert shop.sign_in.who(enter(shop, typed, PASSWORD)) == ERIN


@pytest.mark.parametrize("token", [None, "", "guess", "x" * 5000])
def test_nobody_holds_another_token(token: str | None) -> None:
    shop = a_shop()
    erin_in(shop)
    assert shop.sign_in.who(token) is None


def test_each_sign_in_gives_a_token_of_its_own() -> None:
    shop = a_shop()
    assert erin_in(shop) != erin_in(shop)


def test_signing_out_ends_this_session_and_no_other() -> None:
    shop = a_shop()
    one, other = erin_in(shop), erin_in(shop)
    shop.sign_in.sign_out(one)
    shop.sign_in.sign_out(None)
    assert shop.sign_in.who(one) is None
    assert shop.sign_in.who(other) == ERIN


@pytest.mark.parametrize(
    ("name", "password"),
    [
        ("erin", "another password"),
        ("nobody", PASSWORD),
        ("", PASSWORD),
        ("erin", ""),
        ("off", PASSWORD),
        ("outside", ""),
        ("outside", PASSWORD),
        ("erin", PASSWORD + "x" * 100_000),
    ],
)
def test_whatever_is_wrong_the_answer_is_the_same(name: str, password: str) -> None:
    shop = a_shop()
    a_person(shop, ERIN.name, ERIN.roles)
    off = a_person(shop, "Off Duty", [Role.ESTIMATOR])
    shop.people.disable(off.id, by=ADMINISTRATOR)
    shop.people.add("Outside Only", [Role.ADJUSTER], outside_id="o@x.example", by=ADMINISTRATOR)
    with pytest.raises(NotAllowedError) as refused:
        enter(shop, name, password)
    assert str(refused.value) == WRONG


def test_an_unknown_name_costs_as_many_hashes_as_a_known_one() -> None:
    """Counted instead of timed: one comparison each, so that time tells nothing."""
    verified: list[str] = []

    class Counting(PasswordHasher):
        @override
        def verify(self, hash: str | bytes, password: str | bytes) -> Literal[True]:
            verified.append("once")
            return super().verify(hash, password)

    passwords = Passwords(Counting(time_cost=1, memory_cost=8, parallelism=1))
    known = passwords.hashed(PASSWORD)
    assert passwords.is_right(PASSWORD, known)
    counts: list[int] = []
    for password_hash in (known, ""):
        verified.clear()
        assert not passwords.is_right("wrong", password_hash)
        counts.append(len(verified))
    assert counts == [1, 1]


def test_a_role_taken_away_is_gone_at_the_next_question() -> None:
    shop = a_shop()
    token = signed_in(shop, "Sam Senior", [Role.SENIOR_TECHNICIAN, Role.ESTIMATOR])
    sam = shop.people.called("sam", by=ADMINISTRATOR)
    shop.people.set_roles(sam.id, [Role.ESTIMATOR], by=ADMINISTRATOR)
    operator = shop.sign_in.who(token)
    assert operator is not None
    assert operator.roles == {Role.ESTIMATOR}


def test_a_disabled_person_is_out_at_the_next_question_and_back_only_by_signing_in() -> None:
    shop = a_shop()
    token = erin_in(shop)
    erin = shop.people.called("erin", by=ADMINISTRATOR)
    shop.people.disable(erin.id, by=ADMINISTRATOR)
    assert shop.sign_in.who(token) is None
    shop.people.enable(erin.id, by=ADMINISTRATOR)
    assert shop.sign_in.who(token) is None
    assert shop.sign_in.who(enter(shop, "erin", PASSWORD)) == ERIN


# Locked and over ----------------------------------------------------------------------------------


def test_a_session_left_alone_is_locked_and_a_used_one_is_not() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    used, idle = erin_in(shop), erin_in(shop)
    for _ in range(3):
        clock.forward(timedelta(minutes=6))
        assert shop.sign_in.who(used) == ERIN
    assert shop.sign_in.who(idle) is None
    seat = shop.sign_in.seat(idle)
    assert seat is not None
    assert seat.locked
    assert seat.operator is None
    assert seat.account.name == ERIN.name


def test_asking_whose_a_locked_session_is_never_unlocks_it() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    token = erin_in(shop)
    clock.forward(timedelta(minutes=11))
    for _ in range(3):
        assert shop.sign_in.who(token) is None


def test_a_locked_session_goes_on_with_its_own_persons_password_only() -> None:
    shop = a_shop()
    token = erin_in(shop)
    a_person(shop, "Sam Senior", password="other words for other people")  # noqa: S106
    shop.sign_in.lock(token)
    assert shop.sign_in.who(token) is None
    for wrong in ("", "other words for other people"):
        with pytest.raises(NotAllowedError):
            shop.sign_in.unlock(token, password=wrong, caller=HERE)
    assert shop.sign_in.who(token) is None
    shop.sign_in.unlock(token, password=PASSWORD, caller=HERE)
    assert shop.sign_in.who(token) == ERIN


def test_a_shop_sets_how_long_a_screen_may_be_left_alone() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    shop.shop_settings.change(replace(shop.shop_settings.now(), idle_minutes=2), by=ADMINISTRATOR)
    token = erin_in(shop)
    clock.forward(timedelta(minutes=2, seconds=1))
    assert shop.sign_in.who(token) is None


def test_a_session_ends_after_its_hours_however_busy_it_was() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    token = erin_in(shop)
    for _ in range(12 * 12):
        assert shop.sign_in.who(token) == ERIN
        clock.forward(timedelta(minutes=5))
    clock.forward(timedelta(minutes=1))
    assert shop.sign_in.seat(token) is None
    with pytest.raises(NotAllowedError, match="over"):
        shop.sign_in.unlock(token, password=PASSWORD, caller=HERE)


def test_a_clock_set_back_does_not_make_a_session_last_longer() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    token = erin_in(shop)
    clock.forward(timedelta(hours=-2))
    assert shop.sign_in.who(token) is None


# The first start ----------------------------------------------------------------------------------


def set_up(shop: Services, **changed: str) -> str:
    fields = {"code": CODE, "name": "Ada Nowak", "password": PASSWORD} | changed
    return shop.sign_in.set_up(**fields, roles=[Role.SENIOR_TECHNICIAN], caller=HERE)


def test_the_start_code_makes_the_first_administrator() -> None:
    shop = a_shop()
    assert shop.sign_in.needs_set_up()
    operator = shop.sign_in.who(set_up(shop, code=f" {CODE} "))
    assert operator is not None
    assert operator.name == "Ada Nowak"
    assert operator.roles == {Role.ADMINISTRATOR, Role.SENIOR_TECHNICIAN}
    assert not shop.sign_in.needs_set_up()
    assert [entry.did for entry in shop.people.log(by=ADMINISTRATOR)] == [
        "set the shop up as senior technician (HV reviewer), administrator"
    ]


def test_afterwards_the_start_code_opens_nothing() -> None:
    shop = a_shop()
    set_up(shop)
    with pytest.raises(NotAllowedError, match="set up already"):
        set_up(shop, name="Eve Other")
    with pytest.raises(NotAllowedError, match="wrong"):
        enter(shop, "ada", CODE)
    assert len(shop.people.all(by=ADMINISTRATOR)) == 1


@pytest.mark.parametrize(
    ("changed", "error"),
    [
        ({"code": "WRONG"}, NotAllowedError),
        ({"code": ""}, NotAllowedError),
        ({"name": " "}, InvalidInputError),
        ({"password": "short"}, InvalidInputError),
        ({"password": "ada nowak ada nowak"}, InvalidInputError),
    ],
)
def test_a_set_up_that_is_refused_makes_nobody(
    changed: dict[str, str], error: type[Exception]
) -> None:
    shop = a_shop()
    with pytest.raises(error):
        set_up(shop, **changed)
    assert shop.people.all(by=ADMINISTRATOR) == []
    assert shop.sign_in.needs_set_up()


# First passwords ----------------------------------------------------------------------------------


def test_a_given_password_opens_nothing_but_the_choice_of_an_own_one() -> None:
    shop = a_shop()
    given = shop.people.add(ERIN.name, ERIN.roles, by=ADMINISTRATOR)
    with pytest.raises(OwnPasswordNeededError):
        enter(shop, "erin", given.password)
    token = shop.sign_in.sign_in(name="erin", password=given.password, own=PASSWORD, caller=HERE)
    assert shop.sign_in.who(token) == ERIN
    with pytest.raises(NotAllowedError, match="wrong"):
        enter(shop, "erin", given.password)


def test_the_given_password_cannot_become_ones_own() -> None:
    shop = a_shop()
    shop.shop_settings.change(
        replace(shop.shop_settings.now(), password_min_length=8), by=ADMINISTRATOR
    )
    given = shop.people.add(ERIN.name, ERIN.roles, by=ADMINISTRATOR)
    with pytest.raises(OwnPasswordNeededError, match="another"):
        shop.sign_in.sign_in(name="erin", password=given.password, own=given.password, caller=HERE)


def test_a_given_password_does_not_last() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    given = shop.people.add(ERIN.name, ERIN.roles, by=ADMINISTRATOR)
    clock.forward(GIVEN_PASSWORD_LASTS + timedelta(minutes=1))
    with pytest.raises(NotAllowedError, match="too old"):
        shop.sign_in.sign_in(name="erin", password=given.password, own=PASSWORD, caller=HERE)


def test_a_password_is_hashed_anew_when_the_parameters_change() -> None:
    shop = a_shop()
    a_person(shop, ERIN.name, ERIN.roles)
    [before] = shop.people.all(by=ADMINISTRATOR)
    dearer = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1)
    shop.sign_in._passwords = Passwords(dearer)
    enter(shop, "erin", PASSWORD)
    [after] = shop.people.all(by=ADMINISTRATOR)
    assert "t=1" in before.password_hash
    assert "m=16,t=2" in after.password_hash
    assert after == replace(before, password_hash=after.password_hash)
    assert CHEAP.check_needs_rehash(after.password_hash)


# The demo -----------------------------------------------------------------------------------------


def demo_shop(*, demo: bool) -> Services:
    shop = a_shop(demo=demo)
    assert shop.demo_people.make(CODE, by=ADMINISTRATOR)
    return shop


@pytest.mark.parametrize("role", Role)
def test_the_demo_has_one_person_per_role_with_the_start_code_as_password(role: Role) -> None:
    shop = demo_shop(demo=True)
    [person] = [each for each in shop.sign_in.faces(()) if each.roles == {role}]
    operator = shop.sign_in.who(enter(shop, person.sign_in_name, CODE))
    assert operator is not None
    assert operator.roles == {role}


def test_outside_the_demo_its_people_are_strangers() -> None:
    shop = demo_shop(demo=False)
    assert shop.sign_in.needs_set_up()
    assert shop.sign_in.faces(()) == []
    with pytest.raises(NotAllowedError, match="wrong"):
        enter(shop, "ana", CODE)


def test_a_shop_with_people_of_its_own_gets_no_demo_people() -> None:
    shop = a_shop()
    a_person(shop, ERIN.name)
    assert not shop.demo_people.make(CODE, by=ADMINISTRATOR)
    assert [account.name for account in shop.people.all(by=ADMINISTRATOR)] == [ERIN.name]


def test_starting_the_demo_again_gives_its_people_the_new_code() -> None:
    shop = demo_shop(demo=True)
    assert shop.demo_people.make("NEW-CODE-0002", by=ADMINISTRATOR)
    with pytest.raises(NotAllowedError, match="wrong"):
        enter(shop, "erin", CODE)
    assert enter(shop, "erin", "NEW-CODE-0002")
    assert len(shop.people.all(by=ADMINISTRATOR)) == len(Role)


def test_a_browser_is_offered_only_people_who_have_signed_in_there() -> None:
    shop = a_shop()
    erin = a_person(shop, ERIN.name)
    a_person(shop, "Sam Senior")
    off = a_person(shop, "Off Duty", [Role.ESTIMATOR])
    shop.people.disable(off.id, by=ADMINISTRATOR)
    assert shop.sign_in.faces(()) == []
    assert [each.name for each in shop.sign_in.faces((off.id, erin.id))] == [ERIN.name]


def test_an_operator_with_a_name_alone_is_not_signed_in_anywhere() -> None:
    shop = a_shop()
    with pytest.raises(NotAllowedError):
        shop.own_account.account(by=Operator(name=ESTIMATOR.name))
