"""The inspection checklist: say what was seen of each item, point at the photos expected."""

import logging
from collections.abc import Iterable

from rules import Rulebook
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import CaseId, InspectionId, PhotoId, checked_id
from triage_app.domain.inspection.checklist import (
    Checklist,
    Unexplained,
    checklist_of,
    unexplained,
)
from triage_app.domain.inspection.commands import InspectItems, PointAtPhotos
from triage_app.domain.inspection.entries import (
    ExpectedPhoto,
    Item,
    ItemsInspected,
    ItemState,
    PhotosPointedAt,
)
from triage_app.domain.inspection.items import items_of
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator, Signed
from triage_app.services.permission import needs
from triage_app.services.ports import CaseStore, Clock, NewId

_log = logging.getLogger(__name__)


class Inspection:
    def __init__(
        self, *, cases: CaseStore, clock: Clock, new_id: NewId, rulebook: Rulebook
    ) -> None:
        self._cases = cases
        self._clock = clock
        self._new_id = new_id
        self._rulebook = rulebook

    def checklist(self, case: Case) -> Checklist:
        """Return the checklist of this case value as it stands; nothing is stored."""
        return checklist_of(case, self._rulebook)

    def unexplained(self, case: Case) -> tuple[Unexplained, ...]:
        """Return what has to be explained before a report of this case value is released."""
        return unexplained(case, self._rulebook)

    @needs(Action.INSPECT)
    def inspect(
        self,
        case_id: CaseId,
        items: Iterable[Item],
        state: ItemState,
        *,
        by: Operator,
        reason: str = "",
        covers_off: bool | None = None,
        entry_id: InspectionId | None = None,
    ) -> Case:
        """Put on record in the name of ``by`` what was seen of some items.

        What was seen is said of one place at a time. Raises InvalidInputError for an item that is
        not on the list of this car, NotFoundError.
        """
        what = ItemsInspected(items=tuple(items), state=state, reason=reason, covers_off=covers_off)
        case = self._cases.get(case_id)
        unknown = [
            one for one in what.items if one not in items_of(case, self._rulebook.components)
        ]
        if unknown:
            raise InvalidInputError(
                f"The checklist of this car has no item '{unknown[0].component}' in "
                f"'{unknown[0].zone}'."
            )
        command = InspectItems(entry_id=self._entry_id(entry_id), what=what)
        return self._apply(case_id, command, by)

    @needs(Action.INSPECT)
    def point_at(
        self,
        case_id: CaseId,
        expected: ExpectedPhoto,
        *,
        by: Operator,
        photo_ids: Iterable[PhotoId] = (),
        reason: str = "",
        entry_id: InspectionId | None = None,
    ) -> Case:
        """Say which photos show what an insurer expects, or why there is none.

        Raises InvalidInputError, NotFoundError.
        """
        command = PointAtPhotos(
            entry_id=self._entry_id(entry_id),
            what=PhotosPointedAt(expected=expected, photo_ids=tuple(photo_ids), reason=reason),
        )
        return self._apply(case_id, command, by)

    def _entry_id(self, given: InspectionId | None) -> InspectionId:
        return InspectionId(checked_id(given or self._new_id()))

    def _apply(self, case_id: CaseId, command: AnyCommand, by: Operator) -> Case:
        applied = self._cases.apply(case_id, command, Signed(by=by.name, at=self._clock()))
        if applied.after != applied.before:
            _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return applied.after
