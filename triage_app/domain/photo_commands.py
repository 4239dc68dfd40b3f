"""Changes of what is known of photos and of the line of impact: opinions, clocks, places, pairs."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import ClassVar

from triage_app.domain.case import Case, Photo, PhotoPair
from triage_app.domain.clocks import CameraClock
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import PhotoId
from triage_app.domain.impact_line import ImpactLine
from triage_app.domain.plan_view import PlanPin
from triage_app.domain.proposals import Opinion, OrangeOpinion
from triage_app.domain.signed import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgeOrangeArea:
    """Say what a proposed orange area is taken for. Whatever is said, it clears no flag."""

    kind: ClassVar[str] = "orange area judged"
    photo_id: PhotoId
    area: int
    opinion: Opinion
    reason: str

    def apply(self, case: Case, signed: Signed) -> Case:
        photo = case.photo(self.photo_id)
        if not 0 <= self.area < len(photo.orange_areas):
            raise InvalidInputError(
                f"This photo has {len(photo.orange_areas)} orange areas; there is no "
                f"number {self.area + 1}."
            )
        given = OrangeOpinion(
            area=self.area, opinion=self.opinion, reason=self.reason, signed=signed
        )
        last = photo.opinion_on(self.area)
        if last and replace(last, signed=signed) == given and last.signed.by == signed.by:
            return case
        return _with_photo(case, replace(photo, orange_opinions=(*photo.orange_opinions, given)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareClock:
    """Put down what a camera's clock shows and when that is; the last comparison counts."""

    kind: ClassVar[str] = "camera clock compared"
    camera: str = ""
    shown: datetime
    really: datetime

    def apply(self, case: Case, signed: Signed) -> Case:
        clock = CameraClock(camera=self.camera, shown=self.shown, really=self.really, signed=signed)
        if clock.camera and clock.camera not in case.cameras:
            raise InvalidInputError(f"No photo of this case was taken with '{clock.camera}'.")
        others = tuple(old for old in case.clocks if old.camera != clock.camera)
        old = next((old for old in case.clocks if old.camera == clock.camera), None)
        if old and (old.shown, old.really) == (clock.shown, clock.really):
            return case
        return replace(case, clocks=(*others, clock))


@dataclass(frozen=True, slots=True, kw_only=True)
class PinPhoto:
    """Say where on the car a photo was taken; without a place the pin is taken off."""

    kind: ClassVar[str] = "photo pinned on the plan"
    photo_id: PhotoId
    x_frac: float | None
    y_frac: float | None

    def apply(self, case: Case, signed: Signed) -> Case:
        photo, pin = case.photo(self.photo_id), None
        if self.x_frac is not None and self.y_frac is not None:
            pin = PlanPin(x_frac=self.x_frac, y_frac=self.y_frac, signed=signed)
        elif (self.x_frac, self.y_frac) != (None, None):
            raise InvalidInputError("A place on the plan has two numbers.")
        old = photo.plan_pin
        if old == pin or (old and pin and (old.x_frac, old.y_frac) == (pin.x_frac, pin.y_frac)):
            return case
        return _with_photo(case, replace(photo, plan_pin=pin))


@dataclass(frozen=True, slots=True, kw_only=True)
class PairPhotos:
    """Put two photos of one place side by side: before and after a shield came off."""

    kind: ClassVar[str] = "photos paired"
    before_id: PhotoId
    after_id: PhotoId

    def apply(self, case: Case, signed: Signed) -> Case:
        for photo_id in (self.before_id, self.after_id):
            case.photo(photo_id)
        if any(
            (pair.before_id, pair.after_id) == (self.before_id, self.after_id)
            for pair in case.photo_pairs
        ):
            return case
        pair = PhotoPair(before_id=self.before_id, after_id=self.after_id, signed=signed)
        return replace(case, photo_pairs=(*case.photo_pairs, pair))


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPhotos:
    """Take two photos apart again; the journal keeps that they were a pair."""

    kind: ClassVar[str] = "photos no longer paired"
    before_id: PhotoId
    after_id: PhotoId

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        kept = tuple(
            pair
            for pair in case.photo_pairs
            if (pair.before_id, pair.after_id) != (self.before_id, self.after_id)
        )
        return case if len(kept) == len(case.photo_pairs) else replace(case, photo_pairs=kept)


@dataclass(frozen=True, slots=True, kw_only=True)
class SayNothingFound:
    """Say that a photo was looked at and shows no damage, or take that back.

    It is a note for whoever works through the photos: it clears no part and no flag.
    """

    kind: ClassVar[str] = "photo without damage"
    photo_id: PhotoId
    is_so: bool

    def apply(self, case: Case, signed: Signed) -> Case:
        photo = case.photo(self.photo_id)
        if self.is_so and case.marks_on(self.photo_id):
            raise InvalidInputError("There is a mark on this photo, so something was found here.")
        if self.is_so == (photo.nothing_found is not None):
            return case
        return _with_photo(case, replace(photo, nothing_found=signed if self.is_so else None))


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawImpactLine:
    """Say along which line the object passed; without places the line is taken off.

    ``reason`` is why, where a finding at HV gets milder by another line or none.
    """

    kind: ClassVar[str] = "line of impact drawn"
    start: tuple[float, float] | None
    end: tuple[float, float] | None
    reason: str = ""

    def apply(self, case: Case, signed: Signed) -> Case:
        line = None
        if self.start is not None and self.end is not None:
            line = ImpactLine(
                start_x_frac=self.start[0],
                start_y_frac=self.start[1],
                end_x_frac=self.end[0],
                end_y_frac=self.end[1],
                signed=signed,
            )
        elif (self.start, self.end) != (None, None):
            raise InvalidInputError("A line of travel has a start and an end.")
        old = case.impact_line
        if old == line or (old and line and (old.start, old.end) == (line.start, line.end)):
            return case
        return replace(case, impact_line=line)


PhotoCommand = (
    JudgeOrangeArea
    | CompareClock
    | PinPhoto
    | PairPhotos
    | PartPhotos
    | SayNothingFound
    | DrawImpactLine
)


def _with_photo(case: Case, photo: Photo) -> Case:
    kept = tuple(photo if old.id == photo.id else old for old in case.photos)
    return replace(case, photos=kept)
