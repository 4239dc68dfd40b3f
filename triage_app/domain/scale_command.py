"""The command that gives a photo its scale by a thing of known size."""

from dataclasses import dataclass, replace
from typing import ClassVar

from triage_app.domain.case import Case
from triage_app.domain.ids import PhotoId
from triage_app.domain.measuring import Reference
from triage_app.domain.signed import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class ScalePhoto:
    """Point at a thing of known size on a photo; None takes it back."""

    kind: ClassVar[str] = "photo scaled"
    photo_id: PhotoId
    reference: Reference | None

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        photo = case.photo(self.photo_id)
        if photo.reference == self.reference:
            return case
        new = replace(photo, reference=self.reference)
        photos = tuple(new if old.id == new.id else old for old in case.photos)
        return replace(case, photos=photos)
