"""What every store of accounts promises."""

import threading
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.builders import NOON
from tests.contract.stand_ins import plain_summary
from triage_app.domain.accounts import Account, PeopleEntry, refuse_taken
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import AccountId
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Signed
from triage_app.storage.open import Stores, open_stores

SIGNED = Signed(by="Ana Admin", at=NOON)
ERIN = Account(
    id=AccountId("a1"),
    name="Erin Estimator",
    sign_in_name="erin",
    roles=frozenset({Role.ESTIMATOR, Role.SENIOR_TECHNICIAN}),
    password_hash="$argon2id$",  # noqa: S106 - stands for one
    password_set_at=NOON,
    must_choose=True,
    outside_id="erin@shop.example",
    created=SIGNED,
    disabled=Signed(by="Ana Admin", at=NOON + timedelta(hours=1)),
)
ADDED = PeopleEntry(signed=SIGNED, account_id=ERIN.id, name=ERIN.name, did="added")


def test_an_account_comes_back_as_it_was_with_its_entry(stores: Stores) -> None:
    assert stores.accounts.apply(lambda _: (ERIN, ADDED)) == ERIN
    assert stores.accounts.get(ERIN.id) == ERIN
    assert stores.accounts.all() == [ERIN]
    assert stores.accounts.log() == [ADDED]
    assert stores.accounts.get(AccountId("nobody")) is None


def test_a_change_sees_all_accounts_and_replaces_one(stores: Stores) -> None:
    bare = replace(ERIN, disabled=None, password_set_at=None, password_hash="", outside_id="")
    ada = replace(bare, id=AccountId("a2"), name="Ada Nowak", sign_in_name="ada")
    for account in (ERIN, ada):
        stores.accounts.apply(lambda _, new=account: (new, None))  # type: ignore[misc]
    seen: list[Sequence[Account]] = []

    def change(accounts: Sequence[Account]) -> tuple[Account, None]:
        seen.append(accounts)
        return bare, None

    stores.accounts.apply(change)
    assert seen[-1] == [ada, ERIN]
    assert stores.accounts.all() == [ada, bare]


def test_a_refused_change_stores_neither_account_nor_entry(stores: Stores) -> None:
    def refuse(_: Sequence[Account]) -> tuple[Account, PeopleEntry]:
        raise InvalidInputError("No.")

    with pytest.raises(InvalidInputError):
        stores.accounts.apply(refuse)
    assert stores.accounts.all() == []
    assert stores.accounts.log() == []


def test_two_who_add_the_same_person_at_once_make_one_account(shared_url: str) -> None:
    programs = [open_stores(shared_url, "memory://", summarise=plain_summary) for _ in range(2)]
    start = threading.Barrier(2)
    refused: list[str] = []

    def add(number: int) -> None:
        new = replace(ERIN, id=AccountId(f"a{number}"), sign_in_name=f"erin{number}")

        def make(accounts: Sequence[Account]) -> tuple[Account, None]:
            refuse_taken(new, accounts)
            return new, None

        start.wait()
        try:
            programs[number].accounts.apply(make)
        except InvalidInputError as error:
            refused.append(str(error))

    threads = [threading.Thread(target=add, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(programs[0].accounts.all()) == 1
    assert len(refused) == 1
    for program in programs:
        program.close()
