"""The command that takes a gesture on a mark back; undo is one more change, on record too."""

from triage_app.domain.case import Case
from triage_app.domain.commands import (
    AddMark,
    AnyCommand,
    MoveMark,
    RemoveMark,
    ReshapeMark,
    finding_and_mark,
)


def inverse(command: AnyCommand, before: Case, after: Case) -> AnyCommand | None:
    """Return the command that takes a gesture on a mark back, or None if it has no undo.

    ``before`` and ``after`` are the case around the command. Taking back the first mark of an
    untagged finding leaves it blank: it keeps its number and no longer counts.
    """
    match command:
        case AddMark():
            return RemoveMark(mark_id=command.mark_id)
        case RemoveMark():
            finding = before.finding_of(command.mark_id)
            if finding is None:
                return None
            mark = next(mark for mark in finding.marks if mark.id == command.mark_id)
            return AddMark(
                finding_id=finding.id,
                mark_id=mark.id,
                photo_id=mark.photo_id,
                outline=mark.outline,
            )
        case ReshapeMark():
            _, old = finding_and_mark(before, command.mark_id)
            _, new = finding_and_mark(after, command.mark_id)
            return ReshapeMark(
                mark_id=command.mark_id,
                outline=old.outline,
                expected_revision=new.revision,
                expected_outline=new.outline,
            )
        case MoveMark():
            source, _ = finding_and_mark(before, command.mark_id)
            return MoveMark(mark_id=command.mark_id, to_finding_id=source.id)
        case _:
            return None
