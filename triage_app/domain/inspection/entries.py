"""What a person writes down while inspecting. Nothing is edited: a later entry counts."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from rules import ComponentId, ZoneId
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import InspectionId, PhotoId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import checked_text

MAX_ITEMS: Final = 1_000


class ItemState(StrEnum):
    """What inspecting an item came to. No finding is not the same as inspected."""

    DAMAGED = "damaged"
    NO_VISIBLE_DAMAGE = "no visible damage"
    NOT_ACCESSIBLE = "not accessible"
    NOT_INSPECTED = "not inspected"

    @property
    def was_seen(self) -> bool:
        """True when somebody looked; the other two are explained before release."""
        return self in (ItemState.DAMAGED, ItemState.NO_VISIBLE_DAMAGE)


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Item:
    """One part at one place."""

    zone: ZoneId
    component: ComponentId


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemsInspected:
    """What one person saw, or why they did not, of one item or of several at once.

    ``reason`` explains why it was not seen; it may follow in a later entry. ``covers_off`` says
    whether shields and covers were off; None is not said, and counts as on.
    """

    items: tuple[Item, ...]
    state: ItemState
    reason: str = ""
    covers_off: bool | None = None

    def __post_init__(self) -> None:
        items = tuple(dict.fromkeys(self.items))
        if not 1 <= len(items) <= MAX_ITEMS:
            raise InvalidInputError(f"Name 1 to {MAX_ITEMS} items of the checklist.")
        if self.state.was_seen and len({item.zone for item in items}) > 1:
            raise InvalidInputError(
                f"'{self.state}' is said of one place at a time; only what was not seen can be "
                "said of many."
            )
        object.__setattr__(self, "items", items)
        object.__setattr__(self, "reason", checked_text(self.reason, "The reason"))


class ExpectedPhoto(StrEnum):
    """A photo that an insurer expects beside those of the damage."""

    VIN_PLATE = "VIN plate"
    ODOMETER = "odometer"
    FRONT_LEFT = "front left corner"
    FRONT_RIGHT = "front right corner"
    REAR_LEFT = "rear left corner"
    REAR_RIGHT = "rear right corner"
    PRIOR_DAMAGE = "prior damage"
    SCAN_BEFORE = "scan before the repair"
    SCAN_AFTER = "scan after the repair"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotosPointedAt:
    """Which photos of the case show something expected, or why there is none.

    Without photos and without a reason the expected photo is open again.
    """

    expected: ExpectedPhoto
    photo_ids: tuple[PhotoId, ...] = ()
    reason: str = ""

    def __post_init__(self) -> None:
        reason = checked_text(self.reason, "The reason")
        if reason and self.photo_ids:
            raise InvalidInputError("Point at a photo, or say why there is none; not both.")
        object.__setattr__(self, "reason", reason)
        object.__setattr__(self, "photo_ids", tuple(dict.fromkeys(self.photo_ids)))


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionEntry:
    """One entry of the checklist: by whom and when."""

    id: InspectionId
    number: int
    what: ItemsInspected | PhotosPointedAt
    recorded: Signed
