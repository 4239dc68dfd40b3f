"""What people say of the photos of a case: orange areas, clocks, places on the car, pairs."""

import logging
from datetime import datetime

from triage_app.domain.case import Case
from triage_app.domain.ids import CaseId, PhotoId
from triage_app.domain.permissions import Action
from triage_app.domain.photo_commands import (
    CompareClock,
    DrawImpactLine,
    JudgeOrangeArea,
    PairPhotos,
    PartPhotos,
    PhotoCommand,
    PinPhoto,
    SayNothingFound,
)
from triage_app.domain.proposals import Opinion
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.vehicle import checked_text
from triage_app.services.lowering import LoweringGuard
from triage_app.services.permission import needs
from triage_app.services.ports import CaseStore, Check, Clock

_log = logging.getLogger(__name__)


class Photos:
    def __init__(self, *, cases: CaseStore, clock: Clock, guard: LoweringGuard) -> None:
        self._guard = guard
        self._cases = cases
        self._clock = clock

    @needs(Action.ADD_PHOTO)
    def judge_orange(
        self,
        case_id: CaseId,
        photo_id: PhotoId,
        area: int,
        opinion: Opinion,
        *,
        reason: str,
        by: Operator,
    ) -> Case:
        """Say what a proposed orange area (from 0) is taken for; it clears no flag.

        Raises InvalidInputError for an area that is not there or an empty reason.
        """
        command = JudgeOrangeArea(photo_id=photo_id, area=area, opinion=opinion, reason=reason)
        return self._apply(case_id, command, by)

    @needs(Action.ADD_PHOTO)
    def compare_clock(
        self,
        case_id: CaseId,
        *,
        shown: datetime,
        really: datetime,
        by: Operator,
        camera: str = "",
    ) -> Case:
        """Put down what a camera's clock shows (no zone) and when that is (with one).

        Without ``camera`` it stands for every camera that has no comparison of its own.
        """
        return self._apply(case_id, CompareClock(camera=camera, shown=shown, really=really), by)

    @needs(Action.ADD_PHOTO)
    def pin(
        self, case_id: CaseId, photo_id: PhotoId, place: tuple[float, float] | None, *, by: Operator
    ) -> Case:
        """Say where on the plan of the underside (fractions) a photo was taken; None unpins it."""
        x_frac, y_frac = place or (None, None)
        return self._apply(case_id, PinPhoto(photo_id=photo_id, x_frac=x_frac, y_frac=y_frac), by)

    @needs(Action.ADD_PHOTO)
    def pair(self, case_id: CaseId, before_id: PhotoId, after_id: PhotoId, *, by: Operator) -> Case:
        """Put two photos of one place side by side, before and after a shield came off."""
        return self._apply(case_id, PairPhotos(before_id=before_id, after_id=after_id), by)

    @needs(Action.ADD_PHOTO)
    def part(self, case_id: CaseId, before_id: PhotoId, after_id: PhotoId, *, by: Operator) -> Case:
        """Take a pair apart; the journal keeps it."""
        return self._apply(case_id, PartPhotos(before_id=before_id, after_id=after_id), by)

    @needs(Action.MARK)
    def nothing_found(
        self, case_id: CaseId, photo_id: PhotoId, *, by: Operator, is_so: bool = True
    ) -> Case:
        """Say that a photo shows no damage; InvalidInputError where a mark is on it."""
        return self._apply(case_id, SayNothingFound(photo_id=photo_id, is_so=is_so), by)

    @needs(Action.MARK)
    def draw_impact_line(
        self,
        case_id: CaseId,
        ends: tuple[tuple[float, float], tuple[float, float]] | None,
        *,
        by: Operator,
        reason: str = "",
    ) -> Case:
        """Say from where to where the object passed (fractions of the plan); None takes it off.

        Where a finding at HV gets milder by that, only a reviewer may, with a reason: raises
        NotAllowedError or InvalidInputError.
        """
        start, end = ends or (None, None)
        command = DrawImpactLine(start=start, end=end, reason=checked_text(reason, "The reason"))
        return self._apply(case_id, command, by, self._guard.check(command, by))

    def _apply(
        self, case_id: CaseId, command: PhotoCommand, by: Operator, check: Check | None = None
    ) -> Case:
        signed = Signed(by=by.name, at=self._clock())
        applied = self._cases.apply(case_id, command, signed, check=check)
        if applied.after != applied.before:
            _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return applied.after
