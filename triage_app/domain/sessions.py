"""A session: one browser in which somebody has signed in, and when it is locked or over."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from triage_app.domain.ids import AccountId
from triage_app.domain.shop_settings import ShopSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """``id`` names it in lists and opens nothing; the token that does is known by hash only.

    It keeps no roles: those are asked for anew each time, so that one taken away is gone at
    once. ``device`` and ``address`` tell a person which of their screens it is.
    """

    id: str
    account_id: AccountId
    opened_at: datetime
    last_used_at: datetime
    locked: bool = False
    device: str = ""
    address: str = ""

    def is_over(self, now: datetime, settings: ShopSettings) -> bool:
        """Tell whether it has lasted as long as any session may; a clock set back ends it too."""
        age = now - self.opened_at
        return age > timedelta(hours=settings.session_hours) or age < timedelta(minutes=-5)

    def is_locked(self, now: datetime, settings: ShopSettings) -> bool:
        """Tell whether its person has to show again who they are."""
        return self.locked or now - self.last_used_at > timedelta(minutes=settings.idle_minutes)
