"""The shop's settings: as shipped on their careful side, changed by an administrator only."""

from dataclasses import replace

import pytest

from tests.builders import ESTIMATOR, NOON
from tests.unit.services.shop import a_shop
from triage_app.casefile.shop_records import settings_from_json, shop_record_to_json
from triage_app.domain.errors import InvalidInputError, NotAllowedError, StorageError
from triage_app.domain.permissions import Role
from triage_app.domain.shop_settings import ShopSettings
from triage_app.domain.signed import Operator, Signed

ADMINISTRATOR = Operator(name="Ana Admin", roles=frozenset({Role.ADMINISTRATOR}))


def test_as_shipped_a_second_person_clears_and_a_screen_locks_after_ten_minutes() -> None:
    settings = a_shop().shop_settings.now()
    assert settings.second_person_clears
    assert settings.idle_minutes == 10
    assert settings.changed is None


def test_a_change_is_in_force_at_once_and_says_who_made_it() -> None:
    shop = a_shop()
    shop.shop_settings.change(
        replace(shop.shop_settings.now(), second_person_clears=False), by=ADMINISTRATOR
    )
    settings = shop.shop_settings.now()
    assert not settings.second_person_clears
    assert settings.changed == Signed(by="Ana Admin", at=NOON)


def test_an_estimator_changes_nothing() -> None:
    shop = a_shop()
    with pytest.raises(NotAllowedError):
        shop.shop_settings.change(ShopSettings(idle_minutes=60), by=ESTIMATOR)
    assert shop.shop_settings.now() == ShopSettings()


@pytest.mark.parametrize(
    "wrong",
    [
        {"idle_minutes": 0},
        {"idle_minutes": 61},
        {"session_hours": 25},
        {"password_min_length": 7},
        {"password_min_length": 65},
    ],
    ids=str,
)
def test_a_setting_out_of_its_range_is_refused(wrong: dict[str, int]) -> None:
    with pytest.raises(InvalidInputError, match="from"):
        ShopSettings(**wrong)  # type: ignore[arg-type]  # each is a number


def test_settings_come_back_from_text_as_they_were() -> None:
    settings = ShopSettings(idle_minutes=3, changed=Signed(by="Ana Admin", at=NOON))
    assert settings_from_json(shop_record_to_json(settings)) == settings


def test_settings_that_cannot_be_read_are_never_replaced_by_ours() -> None:
    with pytest.raises(StorageError, match="settings"):
        settings_from_json('{"record": {"second_person_clears": "perhaps"}}')
