"""Every change of a case, as a value that is applied to the freshly loaded case.

A command carries the ids that its client made, so that applying it twice is harmless. It returns
a new case (with the same ``revision``: the store raises that), or the *same* object when there
is nothing to do. Adding never conflicts; only two edits of the same finding or mark revision do.

Where the user expects "undo", another command takes it back: see ``domain.undo``.
"""

from dataclasses import dataclass, replace
from typing import ClassVar, Protocol

from triage_app.domain.admission.commands import AdmissionCommand, with_answers
from triage_app.domain.case import (
    Case,
    Finding,
    Mark,
    Photo,
    Tags,
    Withdrawal,
)
from triage_app.domain.errors import InvalidInputError, NotFoundError, StaleCaseError
from triage_app.domain.evidence_commands import (
    AcceptEvidence,
    DeclineEvidence,
    RecordEvidence,
    WithdrawEvidence,
)
from triage_app.domain.geometry import Outline, check_inside
from triage_app.domain.ids import FindingId, MarkId, PhotoId
from triage_app.domain.inspection.commands import InspectionCommand
from triage_app.domain.merging import merged
from triage_app.domain.photo_commands import PhotoCommand
from triage_app.domain.plan.commands import PlanCommand
from triage_app.domain.report_commands import RecordRelease, RecordReport
from triage_app.domain.review.commands import ReviewCommand
from triage_app.domain.safing.commands import SafingCommand
from triage_app.domain.scale_command import ScalePhoto
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Incident, Vehicle, checked_text


class Command(Protocol):
    """One change. ``kind`` names it in the journal; a dataclass of plain domain values."""

    kind: ClassVar[str]

    def apply(self, case: Case, signed: Signed) -> Case:
        """Return the changed case, or ``case`` itself if the change is already there."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribeVehicle:
    """Write down the car. With ``base``, as first shown, only what differs from it is changed.

    ``reason`` is why, where what was said of the car changes and a finding at HV gets milder.
    """

    kind: ClassVar[str] = "vehicle described"
    vehicle: Vehicle
    base: Vehicle | None = None
    reason: str = ""

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        vehicle = self.vehicle
        if self.base is not None:
            vehicle = merged(self.base, vehicle, case.vehicle)
        return case if case.vehicle == vehicle else replace(case, vehicle=vehicle)


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribeIncident:
    """Write down the incident. With ``base``, only what differs from it is changed.

    Whoever changes a warning sign stands for the new answer.
    """

    kind: ClassVar[str] = "incident described"
    incident: Incident
    base: Incident | None = None

    def apply(self, case: Case, signed: Signed) -> Case:
        incident = self.incident
        if self.base is not None:
            incident = merged(self.base, incident, case.incident)
        return case if case.incident == incident else with_answers(case, incident, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddPhoto:
    """Add a photo; the same bytes a second time change nothing."""

    kind: ClassVar[str] = "photo added"
    photo: Photo

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - photo carries its own
        return case if case.photo_with(self.photo.sha256) else case.with_photo(self.photo)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddMark:
    """Draw a mark. An unknown ``finding_id`` makes a new finding with the next number."""

    kind: ClassVar[str] = "mark drawn"
    finding_id: FindingId
    mark_id: MarkId
    photo_id: PhotoId
    outline: Outline
    tags: Tags = Tags()

    def apply(self, case: Case, signed: Signed) -> Case:
        photo = case.photo(self.photo_id)
        check_inside(self.outline, photo.width_px, photo.height_px)
        if case.finding_of(self.mark_id):
            return case
        mark = Mark(id=self.mark_id, photo_id=self.photo_id, outline=self.outline)
        finding = case.find_finding(self.finding_id)
        if finding is None:
            return case.with_finding(
                Finding(
                    id=self.finding_id,
                    number=case.next_number,
                    tags=self.tags,
                    marks=(mark,),
                    created=signed,
                )
            )
        _refuse_withdrawn(finding)
        return case.with_finding(
            replace(finding, marks=(*finding.marks, mark), revision=finding.revision + 1)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class AddFinding:
    """Put a damage on record that no photo shows yet, such as one that was felt or heard."""

    kind: ClassVar[str] = "finding added"
    finding_id: FindingId
    tags: Tags

    def apply(self, case: Case, signed: Signed) -> Case:
        if case.find_finding(self.finding_id):
            return case
        finding = Finding(
            id=self.finding_id, number=case.next_number, tags=self.tags, created=signed
        )
        if finding.is_blank:
            raise InvalidInputError("Say what is damaged, or draw a mark on a photo.")
        return case.with_finding(finding)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReshapeMark:
    """Move or reshape one mark. ``expected_revision`` is the mark revision that was edited.

    Where ``expected_outline`` is given, a mark that looks like that may be changed at any
    revision: several steps can then be taken back in a row, each of which raises the revision.
    """

    kind: ClassVar[str] = "mark reshaped"
    mark_id: MarkId
    outline: Outline
    expected_revision: int
    expected_outline: Outline | None = None

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        finding, mark = finding_and_mark(case, self.mark_id)
        photo = case.photo(mark.photo_id)
        check_inside(self.outline, photo.width_px, photo.height_px)
        if mark.outline == self.outline:
            return case
        if self.expected_revision != mark.revision and self.expected_outline != mark.outline:
            raise StaleCaseError(
                f"Somebody else changed this mark of finding {finding.number} first. Theirs is "
                "kept and shown; draw yours again if it is still needed."
            )
        new = replace(mark, outline=self.outline, revision=mark.revision + 1)
        marks = tuple(new if old.id == new.id else old for old in finding.marks)
        return case.with_finding(replace(finding, marks=marks, revision=finding.revision + 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveMark:
    """Take one mark off. A named finding stays, even without marks; the journal keeps the outline.

    The only mark of a finding that nobody named is taken back by whoever drew it: for anybody
    else it could be anything, and goes with a reason only.
    """

    kind: ClassVar[str] = "mark removed"
    mark_id: MarkId

    def apply(self, case: Case, signed: Signed) -> Case:
        finding = case.finding_of(self.mark_id)
        if finding is None:
            return case
        without = _without_mark(finding, self.mark_id)
        if without.is_blank and signed.by != finding.created.by:
            raise InvalidInputError(
                f"{finding.created.by} drew finding {finding.number} and nobody has said what it "
                "is. Name it, or have a senior technician withdraw it with a reason."
            )
        return case.with_finding(without)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveMark:
    """Say that a mark shows the same damage as another finding."""

    kind: ClassVar[str] = "mark moved to another finding"
    mark_id: MarkId
    to_finding_id: FindingId

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        source, mark = finding_and_mark(case, self.mark_id)
        target = case.finding(self.to_finding_id)
        _refuse_withdrawn(target)
        if source.id == target.id:
            return case
        case = case.with_finding(_without_mark(source, self.mark_id))
        return case.with_finding(
            replace(target, marks=(*target.marks, mark), revision=target.revision + 1)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TagFinding:
    """Say what is damaged and how. ``expected_revision`` is the finding revision on the screen."""

    kind: ClassVar[str] = "finding tagged"
    finding_id: FindingId
    tags: Tags
    expected_revision: int

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        finding = case.finding(self.finding_id)
        if finding.tags == self.tags:
            return case
        _refuse_withdrawn(finding)
        if self.tags == Tags():
            # Without name and marks it would no longer count, and nobody would have said why.
            raise InvalidInputError(
                f"Finding {finding.number} was named and keeps a name: say that the part or the "
                "damage cannot be told, or withdraw the finding with a reason."
            )
        if finding.revision != self.expected_revision:
            raise StaleCaseError(
                f"Somebody else changed finding {finding.number} first. Theirs is kept and shown "
                "beside what you entered; look at both and save again."
            )
        return case.with_finding(replace(finding, tags=self.tags, revision=finding.revision + 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawFinding:
    """Take a finding out of the count, with a reason; it stays on record and in the report."""

    kind: ClassVar[str] = "finding withdrawn"
    finding_id: FindingId
    reason: str
    expected_revision: int

    def apply(self, case: Case, signed: Signed) -> Case:
        finding = case.finding(self.finding_id)
        if finding.withdrawn:
            return case
        if finding.revision != self.expected_revision:
            raise StaleCaseError(
                f"Somebody else changed finding {finding.number} first. Look at it again before "
                "you withdraw it."
            )
        withdrawn = Withdrawal(reason=self.reason, signed=signed)
        return case.with_finding(
            replace(finding, withdrawn=withdrawn, revision=finding.revision + 1)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RestoreFinding:
    """Count a withdrawn finding again."""

    kind: ClassVar[str] = "finding restored"
    finding_id: FindingId

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        finding = case.finding(self.finding_id)
        if finding.withdrawn is None:
            return case
        return case.with_finding(replace(finding, withdrawn=None, revision=finding.revision + 1))


AnyCommand = (
    DescribeVehicle
    | DescribeIncident
    | AddPhoto
    | ScalePhoto
    | AddMark
    | AddFinding
    | ReshapeMark
    | RemoveMark
    | MoveMark
    | TagFinding
    | WithdrawFinding
    | RestoreFinding
    | RecordReport
    | RecordRelease
    | RecordEvidence
    | AcceptEvidence
    | DeclineEvidence
    | WithdrawEvidence
    | PhotoCommand
    | SafingCommand
    | AdmissionCommand
    | InspectionCommand
    | PlanCommand
    | ReviewCommand
)


def checked_reason(reason: str) -> str:
    """Return a reason that says something, or raise InvalidInputError."""
    kept = checked_text(reason, "The reason")
    if not kept:
        raise InvalidInputError("Give a reason; it goes on record with your name.")
    return kept


def finding_and_mark(case: Case, mark_id: MarkId) -> tuple[Finding, Mark]:
    finding = case.finding_of(mark_id)
    if finding is None:
        raise NotFoundError("This mark is no longer there; somebody else took it off.")
    return finding, next(mark for mark in finding.marks if mark.id == mark_id)


def _without_mark(finding: Finding, mark_id: MarkId) -> Finding:
    marks = tuple(mark for mark in finding.marks if mark.id != mark_id)
    return replace(finding, marks=marks, revision=finding.revision + 1)


def _refuse_withdrawn(finding: Finding) -> None:
    if finding.withdrawn:
        raise InvalidInputError(f"Finding {finding.number} is withdrawn; restore it first.")
