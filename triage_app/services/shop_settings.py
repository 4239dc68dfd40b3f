"""What the shop has set for itself: read by everything that depends on it, changed by few."""

from dataclasses import replace

from triage_app.casefile.shop_records import settings_from_json, shop_record_to_json
from triage_app.domain.permissions import Action
from triage_app.domain.shop_settings import ShopSettings
from triage_app.domain.signed import Operator, Signed
from triage_app.services.permission import needs
from triage_app.services.ports import Clock, ShopStore

_NAME = "settings"


class ShopSettingsRecord:
    def __init__(self, *, shop: ShopStore, clock: Clock) -> None:
        self._shop = shop
        self._clock = clock

    def now(self) -> ShopSettings:
        """Return the settings as stored, or as shipped where nobody changed any.

        Raises StorageError when they cannot be read: a shop's own stricter setting must not
        quietly give way to ours.
        """
        kept = self._shop.all().get(_NAME)
        return ShopSettings() if kept is None else settings_from_json(kept)

    @needs(Action.CHANGE_SETTINGS)
    def change(self, settings: ShopSettings, *, by: Operator) -> ShopSettings:
        """Put the settings in force, with who did it and when; returns them as stored."""
        changed = replace(settings, changed=Signed(by=by.name, at=self._clock()))
        self._shop.put(_NAME, shop_record_to_json(changed))
        return changed
