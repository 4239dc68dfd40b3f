"""Draw, reshape, tag, undo: everything that is done to findings."""

import logging
from dataclasses import dataclass

from rules import HvFlag, Rulebook, assess
from triage_app.domain.case import Case, Tags
from triage_app.domain.commands import (
    AddFinding,
    AddMark,
    AnyCommand,
    MoveMark,
    RemoveMark,
    ReshapeMark,
    RestoreFinding,
    TagFinding,
    WithdrawFinding,
    checked_reason,
)
from triage_app.domain.errors import NotAllowedError
from triage_app.domain.findings import case_facts
from triage_app.domain.geometry import Outline
from triage_app.domain.ids import CaseId, FindingId, MarkId, PhotoId, checked_id
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.undo import inverse
from triage_app.services import known_words
from triage_app.services.ports import CaseStore, Clock, NewId

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """The case after a gesture, and the command that takes the gesture back.

    ``undo`` is None if the gesture cannot be taken back or changed nothing.
    """

    case: Case
    undo: AnyCommand | None


class Marking:
    def __init__(
        self, *, cases: CaseStore, clock: Clock, new_id: NewId, rulebook: Rulebook
    ) -> None:
        self._cases = cases
        self._clock = clock
        self._new_id = new_id
        self._rulebook = rulebook

    def mark(
        self,
        case_id: CaseId,
        photo_id: PhotoId,
        outline: Outline,
        *,
        by: Operator,
        finding_id: FindingId | None = None,
        mark_id: MarkId | None = None,
        tags: Tags | None = None,
    ) -> Marked:
        """Draw a mark. Without ``finding_id`` it starts a new finding.

        With the id of an existing finding the mark is a further view of that damage and ``tags``
        must be None. Client-made ids make a repeat harmless. Raises InvalidInputError,
        NotFoundError.
        """
        tags = tags or Tags()
        self.check_tags(tags)
        command = AddMark(
            finding_id=FindingId(checked_id(finding_id or self._new_id())),
            mark_id=MarkId(checked_id(mark_id or self._new_id())),
            photo_id=photo_id,
            outline=outline,
            tags=tags,
        )
        return self.apply(case_id, command, by=by)

    def add_finding(
        self, case_id: CaseId, tags: Tags, *, by: Operator, finding_id: FindingId | None = None
    ) -> Case:
        """Put a damage on record that no photo shows yet; InvalidInputError for empty tags."""
        self.check_tags(tags)
        command = AddFinding(
            finding_id=FindingId(checked_id(finding_id or self._new_id())), tags=tags
        )
        return self.apply(case_id, command, by=by).case

    def reshape(
        self,
        case_id: CaseId,
        mark_id: MarkId,
        outline: Outline,
        *,
        expected_revision: int,
        by: Operator,
    ) -> Marked:
        """Move or reshape a mark; StaleCaseError if somebody else reshaped it since."""
        command = ReshapeMark(mark_id=mark_id, outline=outline, expected_revision=expected_revision)
        return self.apply(case_id, command, by=by)

    def remove_mark(self, case_id: CaseId, mark_id: MarkId, *, by: Operator) -> Marked:
        """Take a mark off; a tagged finding stays even without marks."""
        return self.apply(case_id, RemoveMark(mark_id=mark_id), by=by)

    def same_damage(
        self, case_id: CaseId, mark_id: MarkId, finding_id: FindingId, *, by: Operator
    ) -> Marked:
        """Say that a mark shows the same damage as another finding."""
        return self.apply(case_id, MoveMark(mark_id=mark_id, to_finding_id=finding_id), by=by)

    def tag(
        self,
        case_id: CaseId,
        finding_id: FindingId,
        tags: Tags,
        *,
        expected_revision: int,
        by: Operator,
    ) -> Case:
        """Say what is damaged and how; StaleCaseError if somebody else changed it since."""
        self.check_tags(tags)
        command = TagFinding(finding_id=finding_id, tags=tags, expected_revision=expected_revision)
        return self.apply(case_id, command, by=by).case

    def withdraw(
        self,
        case_id: CaseId,
        finding_id: FindingId,
        *,
        reason: str,
        expected_revision: int,
        by: Operator,
    ) -> Case:
        """Take a finding out of the count with a reason; it stays on record.

        Raises NotAllowedError for a named finding that is at HV: only a senior technician's
        review may lower that, and this version has none.
        """
        self._refuse_to_lower(case_id, finding_id)
        command = WithdrawFinding(
            finding_id=finding_id,
            reason=checked_reason(reason),
            expected_revision=expected_revision,
        )
        return self.apply(case_id, command, by=by).case

    def _refuse_to_lower(self, case_id: CaseId, finding_id: FindingId) -> None:
        case = self._cases.get(case_id)
        finding = case.finding(finding_id)
        if not finding.is_open or finding.tags == Tags():
            return
        answer = assess(case_facts(case), self._rulebook).of(finding_id)
        if answer.hv_flag is HvFlag.AT_HV:
            raise NotAllowedError(
                f"Finding {finding.number} is at high voltage and cannot be withdrawn. Correct its "
                "name if that is wrong; move its marks if another finding shows the same damage."
            )

    def restore(self, case_id: CaseId, finding_id: FindingId, *, by: Operator) -> Case:
        """Count a withdrawn finding again."""
        return self.apply(case_id, RestoreFinding(finding_id=finding_id), by=by).case

    def apply(self, case_id: CaseId, command: AnyCommand, *, by: Operator) -> Marked:
        """Apply a command made here earlier, such as the ``undo`` of another gesture."""
        signed = Signed(by=by.name, at=self._clock())
        applied = self._cases.apply(case_id, command, signed)
        if applied.after == applied.before:
            return Marked(case=applied.after, undo=None)
        _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return Marked(case=applied.after, undo=inverse(command, applied.before, applied.after))

    def check_tags(self, tags: Tags) -> None:
        """Raise InvalidInputError for a word that the rule book does not know."""
        known_words.check_tags(tags, self._rulebook)
