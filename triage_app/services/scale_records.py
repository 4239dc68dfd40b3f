"""What a shop measures once: the black squares of its printed cards, the lenses of its phones."""

from collections.abc import Iterable

import numpy as np

from triage_app.casefile.shop_records import (
    card_side_from_json,
    lens_from_json,
    shop_record_to_json,
)
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.permissions import Action
from triage_app.domain.scale import CardKind, CardSide, LensRecord
from triage_app.domain.signed import Operator, Signed
from triage_app.imaging.camera_note import camera_note
from triage_app.imaging.decode import decode
from triage_app.imaging.lens import board_corners, calibrate
from triage_app.services.permission import needs
from triage_app.services.ports import Clock, ShopStore

_CARD, _LENS = "card side: ", "lens: "


class ScaleRecords:
    def __init__(self, *, shop: ShopStore, clock: Clock) -> None:
        self._shop = shop
        self._clock = clock

    def card_sides(self) -> dict[CardKind, CardSide]:
        """Return the black squares that were measured; a kind that is missing was not."""
        kept = self._shop.all()
        sides = [card_side_from_json(kept[name]) for name in kept if name.startswith(_CARD)]
        return {side.kind: side for side in sides}

    @needs(Action.MEASURE_CARDS)
    def record_card_side(self, kind: CardKind, side_mm: float, *, by: Operator) -> CardSide:
        """Put on record what a black square measures on the print; InvalidInputError if absurd."""
        side = CardSide(kind=kind, side_mm=side_mm, measured=Signed(by=by.name, at=self._clock()))
        self._shop.put(_CARD + kind, shop_record_to_json(side))
        return side

    def lenses(self) -> list[LensRecord]:
        """Return the calibrated lenses, by the name of their camera."""
        kept = self._shop.all()
        return [lens_from_json(kept[name]) for name in sorted(kept) if name.startswith(_LENS)]

    @needs(Action.MEASURE_CARDS)
    def calibrate_lens(self, photos: Iterable[bytes], *, by: Operator) -> LensRecord:
        """Calibrate the lens that took these photos of the board, and put it on record.

        Raises InvalidInputError, PhotoRejectedError; then nothing is recorded.
        """
        views, cameras, sizes = [], set(), set()
        for data in photos:
            pixels = decode(data).pixels.convert("L")
            if pixels.height > pixels.width:
                pixels = pixels.rotate(90, expand=True)
            views.append(board_corners(np.asarray(pixels)))
            cameras.add(camera_note(data).camera)
            sizes.add(pixels.size)
        if len(cameras) > 1 or len(sizes) > 1:
            raise InvalidInputError(
                "The photos of the board are of several cameras, lenses, zooms or sizes; take all "
                "with one."
            )
        if not views:
            raise InvalidInputError("Give photos of the printed board.")
        found = calibrate(views, sizes.pop())
        record = LensRecord(
            camera=cameras.pop(),
            calibrated=Signed(by=by.name, at=self._clock()),
            focal_frac=found.focal_frac,
            focal_standard_frac=found.focal_standard_frac,
            k1=found.k1,
            k2=found.k2,
            k1_standard=found.k1_standard,
            miss_px=found.miss_px,
            photo_count=found.photo_count,
        )
        self._shop.put(_LENS + record.camera, shop_record_to_json(record))
        return record
