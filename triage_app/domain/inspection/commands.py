"""The commands of the checklist: each adds one entry, and none is ever edited."""

from dataclasses import dataclass, replace
from typing import ClassVar

from triage_app.domain.case import Case
from triage_app.domain.ids import InspectionId
from triage_app.domain.inspection.entries import InspectionEntry, ItemsInspected, PhotosPointedAt
from triage_app.domain.signed import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectItems:
    """Put on record what was seen of one item, or of several."""

    kind: ClassVar[str] = "items inspected"
    entry_id: InspectionId
    what: ItemsInspected

    def apply(self, case: Case, signed: Signed) -> Case:
        return _added(case, self.entry_id, self.what, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointAtPhotos:
    """Say which photos show what an insurer expects; NotFoundError if the case has no such."""

    kind: ClassVar[str] = "expected photo pointed at"
    entry_id: InspectionId
    what: PhotosPointedAt

    def apply(self, case: Case, signed: Signed) -> Case:
        for photo_id in self.what.photo_ids:
            case.photo(photo_id)
        return _added(case, self.entry_id, self.what, signed)


InspectionCommand = InspectItems | PointAtPhotos


def _added(
    case: Case, entry_id: InspectionId, what: ItemsInspected | PhotosPointedAt, signed: Signed
) -> Case:
    if any(entry.id == entry_id for entry in case.inspection):
        return case
    entry = InspectionEntry(
        id=entry_id, number=len(case.inspection) + 1, what=what, recorded=signed
    )
    return replace(case, inspection=(*case.inspection, entry))
