"""Accounts: one per person, whatever the keyboard; never without an administrator."""

from dataclasses import replace

import pytest

from tests.builders import NOON, SIGNED
from triage_app.domain.accounts import (
    Account,
    account_called,
    checked_sign_in_name,
    free_sign_in_name,
    refuse_taken,
    refuse_without_administrator,
)
from triage_app.domain.errors import InvalidInputError, NotAllowedError
from triage_app.domain.ids import AccountId
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Signed

BJORN = Account(
    id=AccountId("a1"),
    name="Bjørn Müller",
    sign_in_name="bjorn",
    roles=frozenset({Role.ADMINISTRATOR}),
    password_hash="stands for one",  # noqa: S106
    outside_id="b@x.example",
    created=SIGNED,
)
ADA = replace(BJORN, id=AccountId("a2"), name="Ada Nowak", sign_in_name="ada", outside_id="")


@pytest.mark.parametrize(
    "name", ["Bjørn Müller", "bjorn  mueller", "Muller, BJORN", "Bjo\u0308rn Mu\u0308ller"]
)
@pytest.mark.parametrize("is_disabled", [False, True])
def test_nobody_makes_a_second_account_of_themselves(name: str, is_disabled: bool) -> None:  # noqa: FBT001
    known = replace(BJORN, disabled=SIGNED if is_disabled else None)
    second = replace(ADA, name=name, sign_in_name="other")
    with pytest.raises(InvalidInputError, match="a person has one only"):
        refuse_taken(second, [known])


@pytest.mark.parametrize(
    "taken", [{"sign_in_name": "bjorn"}, {"outside_id": "b@x.example"}], ids=str
)
def test_what_lets_a_person_in_is_theirs_alone(taken: dict[str, str]) -> None:
    with pytest.raises(InvalidInputError):
        refuse_taken(replace(ADA, **taken), [BJORN])  # type: ignore[arg-type]


def test_two_people_and_a_person_themselves_are_let_be() -> None:
    refuse_taken(ADA, [BJORN, ADA])
    refuse_taken(replace(ADA, outside_id=""), [replace(BJORN, outside_id="")])


@pytest.mark.parametrize(
    "left",
    [
        replace(BJORN, roles=frozenset({Role.ESTIMATOR})),
        replace(BJORN, disabled=Signed(by="Ada", at=NOON)),
        replace(BJORN, password_hash="", outside_id=""),
        replace(BJORN, id=AccountId("demo-administrator")),
    ],
    ids=["another role", "disabled", "no way in", "of the demo"],
)
def test_a_shop_is_never_left_without_an_administrator(left: Account) -> None:
    refuse_without_administrator([left, BJORN])
    with pytest.raises(NotAllowedError, match="last administrator"):
        refuse_without_administrator([left])


@pytest.mark.parametrize("name", ["", "a", "x" * 41, "a b", "a\u0000b", "<b>", "a/b", "a\nb"])
def test_what_cannot_be_a_sign_in_name_is_refused(name: str) -> None:
    with pytest.raises(InvalidInputError):
        checked_sign_in_name(name)


def test_a_sign_in_name_has_small_letters() -> None:
    assert checked_sign_in_name(" Ada.Nowak@x-1_2 ") == "ada.nowak@x-1_2"


def test_who_asked_for_no_sign_in_name_gets_the_first_name_and_then_the_whole() -> None:
    assert free_sign_in_name("Ada Nowak", [BJORN]) == "ada"
    assert free_sign_in_name("Ada Kowalska", [ADA]) == "ada.kowalska"
    assert free_sign_in_name("Ó Briain", []) == "briain"


@pytest.mark.parametrize("typed", ["ada", " ADA ", "nowak ada", "Ada Nowak"])
def test_a_person_is_found_by_either_name(typed: str) -> None:
    assert account_called(typed, [BJORN, ADA]) == ADA


@pytest.mark.parametrize("typed", ["", " ", "ad", "nobody", ".", "%"])
def test_nobody_is_found_by_part_of_a_name(typed: str) -> None:
    assert account_called(typed, [BJORN, ADA]) is None


def test_a_password_hash_is_in_no_description_of_an_account() -> None:
    assert "stands for one" not in repr(BJORN)
