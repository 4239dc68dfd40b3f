"""Nothing but a named reviewer, with a reason, takes a finding down from high voltage."""

from rules import Rulebook
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand, DescribeVehicle, WithdrawFinding
from triage_app.domain.errors import InvalidInputError, NotAllowedError
from triage_app.domain.permissions import Action, allowed_roles, may
from triage_app.domain.photo_commands import DrawImpactLine
from triage_app.domain.review.commands import CorrectFinding
from triage_app.domain.review.guard import lowered_by
from triage_app.domain.review.queue import FindingReview
from triage_app.domain.signed import Operator, is_same_person
from triage_app.services.ports import Check
from triage_app.services.shop_settings import ShopSettingsRecord


class LoweringGuard:
    """Makes the check that a store runs on a change, within its transaction."""

    def __init__(self, *, rulebook: Rulebook, settings: ShopSettingsRecord) -> None:
        self._rulebook = rulebook
        self._settings = settings

    def check(self, command: AnyCommand, by: Operator) -> Check:
        """Return a check that raises NotAllowedError or InvalidInputError where that is so."""

        def refuse(before: Case, after: Case) -> None:
            for item in lowered_by(before, after, self._rulebook, by=by.name):
                self._refuse(item, command, by)

        return refuse

    def refuse_own(self, item: FindingReview, by: Operator) -> None:
        """Raise NotAllowedError where ``by`` recorded the finding and the shop asks for another."""
        created = item.finding.created.by
        if self._settings.now().second_person_clears and is_same_person(created, by.name):
            raise NotAllowedError(
                f"{created} recorded finding {item.finding.number}; another named person has to "
                "lower it."
            )

    def _refuse(self, item: FindingReview, command: AnyCommand, by: Operator) -> None:
        name = f"Finding {item.finding.number}"
        if not may(by.roles, Action.REVIEW_FINDING):
            raise NotAllowedError(
                f"{name} {'is at' if item.is_one_by_one else 'lies within reach of'} high "
                "voltage, and this would take that off it, make it milder or clear what it rests "
                f"on; only {allowed_roles(Action.REVIEW_FINDING)} may, with a reason. If another "
                "finding shows the same damage, move its marks there."
            )
        self.refuse_own(item, by)
        if not _reason_of(command):
            raise InvalidInputError(
                f"{name} is at high voltage, and this would take that off it or make it milder. "
                f"{_WHAT_TO_DO.get(type(command), _OTHERWISE)}"
            )


_OTHERWISE = "Lower, correct or withdraw it with a reason, as its reviewer."
_WITH_A_REASON = "Do it with a reason, as its reviewer; it goes on record with your name."
_WHAT_TO_DO: dict[type, str] = dict.fromkeys((DescribeVehicle, DrawImpactLine), _WITH_A_REASON)


def _reason_of(command: AnyCommand) -> str:
    match command:
        case WithdrawFinding() | DescribeVehicle() | DrawImpactLine():
            return command.reason.strip()
        case CorrectFinding():
            return command.given.reason
        case _:
            return ""
