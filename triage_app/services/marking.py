"""Draw, reshape, tag, undo: everything that is done to findings."""

import logging
from dataclasses import dataclass

from rules import Rulebook
from triage_app.domain.case import Case, Tags
from triage_app.domain.command_actions import action_of
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
    finding_and_mark,
)
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.geometry import Outline
from triage_app.domain.ids import CaseId, FindingId, MarkId, PhotoId, checked_id
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator, Signed
from triage_app.domain.undo import inverse
from triage_app.imaging.outline_sums import Combining, combined
from triage_app.services import known_words
from triage_app.services.lowering import LoweringGuard
from triage_app.services.permission import needs, require_for
from triage_app.services.ports import CaseStore, Clock, NewId

_log = logging.getLogger(__name__)
# What is done on a photo; nothing that needs a check of its own comes by this way.
_BY_MARKING = (Action.MARK, Action.ADD_PHOTO)
# Adding never lowers; these can.
_MAY_LOWER = (ReshapeMark, RemoveMark, MoveMark, TagFinding, WithdrawFinding)


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """The case after a gesture, and the command that takes the gesture back.

    ``undo`` is None if the gesture cannot be taken back or changed nothing.
    """

    case: Case
    undo: AnyCommand | None


class Marking:
    def __init__(
        self,
        *,
        cases: CaseStore,
        clock: Clock,
        new_id: NewId,
        rulebook: Rulebook,
        guard: LoweringGuard,
    ) -> None:
        self._guard = guard
        self._cases = cases
        self._clock = clock
        self._new_id = new_id
        self._rulebook = rulebook

    @needs(Action.MARK)
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

    @needs(Action.MARK)
    def add_finding(
        self, case_id: CaseId, tags: Tags, *, by: Operator, finding_id: FindingId | None = None
    ) -> Case:
        """Put a damage on record that no photo shows yet; InvalidInputError for empty tags."""
        self.check_tags(tags)
        command = AddFinding(
            finding_id=FindingId(checked_id(finding_id or self._new_id())), tags=tags
        )
        return self.apply(case_id, command, by=by).case

    @needs(Action.MARK)
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

    @needs(Action.MARK)
    def combine(
        self,
        case_id: CaseId,
        mark_id: MarkId,
        outline: Outline,
        how: Combining,
        *,
        expected_revision: int,
        pieces: MarkId,
        by: Operator,
    ) -> tuple[Marked, ...]:
        """Add an outline to a mark, or cut it out; one answer per stored change, the last newest.

        Where a cut leaves several pieces, the largest stays this mark; the others are further
        marks of the same finding, their ids made of ``pieces``. The pieces are stored first, so
        that at no time less is marked than before the cut. Raises as ``reshape`` does.
        """
        case = self._cases.get(case_id)
        finding, mark = finding_and_mark(case, mark_id)
        if mark.revision != expected_revision:
            raise StaleCaseError("Somebody else changed this mark; theirs is shown now.")
        photo = case.photo(mark.photo_id)
        size = {"width_px": photo.width_px, "height_px": photo.height_px}
        kept, *further = combined(mark.outline, outline, how, **size)
        done = [
            self.mark(
                case_id,
                photo.id,
                piece,
                by=by,
                finding_id=finding.id,
                mark_id=MarkId(f"{pieces}-{number}"),
            )
            for number, piece in enumerate(further, start=2)
        ]
        done.append(
            self.reshape(case_id, mark_id, kept, expected_revision=expected_revision, by=by)
        )
        return tuple(done)

    @needs(Action.MARK)
    def remove_mark(self, case_id: CaseId, mark_id: MarkId, *, by: Operator) -> Marked:
        """Take a mark off; a tagged finding stays even without marks."""
        return self.apply(case_id, RemoveMark(mark_id=mark_id), by=by)

    @needs(Action.MARK)
    def same_damage(
        self, case_id: CaseId, mark_id: MarkId, finding_id: FindingId, *, by: Operator
    ) -> Marked:
        """Say that a mark shows the same damage as another finding."""
        return self.apply(case_id, MoveMark(mark_id=mark_id, to_finding_id=finding_id), by=by)

    @needs(Action.MARK)
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

    @needs(Action.MARK)
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

        Raises NotAllowedError for a finding at HV unless ``by`` is a reviewer, and, as the shop is
        set up, another person than the one who recorded it.
        """
        command = WithdrawFinding(
            finding_id=finding_id,
            reason=checked_reason(reason),
            expected_revision=expected_revision,
        )
        return self.apply(case_id, command, by=by).case

    @needs(Action.MARK)
    def restore(self, case_id: CaseId, finding_id: FindingId, *, by: Operator) -> Case:
        """Count a withdrawn finding again."""
        return self.apply(case_id, RestoreFinding(finding_id=finding_id), by=by).case

    def apply(self, case_id: CaseId, command: AnyCommand, *, by: Operator) -> Marked:
        """Apply a command made here earlier, such as the ``undo`` of another gesture.

        Asks for the right of that very command, whichever method it was made by. Raises
        NotAllowedError where it would take a finding down from HV and ``by`` is no reviewer.
        """
        require_for(by, command)
        if action_of(command) not in _BY_MARKING:
            raise InvalidInputError("That is not done by marking.")
        signed = Signed(by=by.name, at=self._clock())
        check = self._guard.check(command, by) if isinstance(command, _MAY_LOWER) else None
        applied = self._cases.apply(case_id, command, signed, check=check)
        if applied.after == applied.before:
            return Marked(case=applied.after, undo=None)
        _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return Marked(case=applied.after, undo=inverse(command, applied.before, applied.after))

    def check_tags(self, tags: Tags) -> None:
        """Raise InvalidInputError for a word that the rule book does not know."""
        known_words.check_tags(tags, self._rulebook)
