"""The make-safe record: add an entry, and tell where the record stands.

Every refusal says which step or point is missing and why it matters; see ``domain.safing``.
"""

import logging
from dataclasses import dataclass, fields, replace
from datetime import datetime

from rules import Rulebook
from triage_app.domain.admission.reaching_in import why_not_yet
from triage_app.domain.case import Case, Photo
from triage_app.domain.command_actions import COMMAND_ACTIONS
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import CaseId, EvidenceId, PhotoId, SafingId, checked_id
from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.commands import (
    ChooseLayout,
    RecordHappening,
    RecordIsolation,
    RecordReading,
    RecordStep,
    RecordTemperature,
    SafingCommand,
)
from triage_app.domain.safing.entries import (
    Entered,
    Happened,
    LayoutChosen,
    PointReading,
    SafingEntry,
    StepDone,
    TemperatureReading,
)
from triage_app.domain.safing.islands import IslandIsolation, finding_of, isolation_by_island
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.safing.photo_times import photos_before
from triage_app.domain.safing.points import TestPoint, islands_of, points_of
from triage_app.domain.safing.state import SafingStatus, run_of, status_of
from triage_app.domain.safing.steps import Step
from triage_app.domain.safing.watch import Watch, watch_of
from triage_app.domain.signed import Operator, Signed
from triage_app.services.permission import require
from triage_app.services.ports import CaseStore, Clock, NewId

_log = logging.getLogger(__name__)


class Safing:
    def __init__(
        self,
        *,
        cases: CaseStore,
        clock: Clock,
        new_id: NewId,
        rulebook: Rulebook,
        policy: SafingPolicy,
    ) -> None:
        self._cases = cases
        self._clock = clock
        self._new_id = new_id
        self._components = rulebook.components
        self.policy = policy

    def status(self, case: Case) -> SafingStatus:
        """Return where the record of this case value stands now; nothing is stored."""
        return status_of(case, self._components, now=self._clock(), policy=self.policy)

    def points(self, case: Case) -> tuple[TestPoint, ...]:
        """Return every test point of this case value."""
        return points_of(case, self._components)

    def watch(self, case: Case) -> Watch:
        """Return the temperatures of this case value over time."""
        return watch_of(case.safing, self.policy)

    def isolation(self, case: Case) -> tuple[IslandIsolation, ...]:
        """Return the islands of this case value, each with its outstanding test of isolation."""
        return isolation_by_island(case, self.points(case))

    def is_overdue(self, watch: Watch) -> bool:
        """Tell whether a reading of the temperature is overdue by now."""
        return watch.is_overdue(self._clock())

    def photos_before(self, case: Case) -> tuple[Photo, ...]:
        """Return the photos with an open finding that were taken before the record stood.

        A void record counts as none: then every photo whose time is known is returned.
        """
        return photos_before(case, self.status(case).counts_since)

    def record(
        self,
        case_id: CaseId,
        what: Entered,
        *,
        by: Operator,
        done_at: datetime | None = None,
        note: str = "",
        photo_id: PhotoId | None = None,
        again: bool = False,
        entry_id: SafingId | None = None,
    ) -> Case:
        """Add an entry: a step, a reading, a temperature, an event, a layout or an isolation test.

        ``by`` is whoever records; for steps and readings the second person, not the reader.
        ``done_at`` None is now; ``again`` says that something already recorded was done once more.
        Raises InvalidInputError (a step, a point or a figure is missing, or the car is held outside
        and this reaches into it), StaleCaseError (somebody else recorded it first), NotFoundError;
        NotAllowedError before the case is even read.
        """
        require(by, COMMAND_ACTIONS[_COMMANDS[type(what)]])
        case = self._cases.get(case_id)
        wanted = _Wanted(
            entry_id=SafingId(checked_id(entry_id or self._new_id())),
            done_at=done_at,
            note=note,
            photo_id=photo_id,
            again=again,
        )
        command = self._command(case, what, wanted)
        signed = Signed(by=by.name, at=self._clock())
        self._check_by_shop(case, command, signed)
        return self._apply(case_id, command, signed, what)

    def rehearse(
        self,
        case: Case,
        what: Entered,
        *,
        by: Operator,
        entry_id: SafingId,
        done_at: datetime | None = None,
        note: str = "",
        again: bool = False,
    ) -> Case:
        """Return the case value with the entry, nothing stored; raises what ``record`` would."""
        require(by, COMMAND_ACTIONS[_COMMANDS[type(what)]])
        wanted = _Wanted(entry_id=entry_id, done_at=done_at, note=note, again=again)
        command = self._command(case, what, wanted)
        signed = Signed(by=by.name, at=self._clock())
        self._check_by_shop(case, command, signed)
        why = why_not_yet(case, what)
        if why:
            raise InvalidInputError(why)
        return command.apply(case, signed)

    def _command(self, case: Case, what: Entered, wanted: "_Wanted") -> SafingCommand:
        held = {each.name: getattr(wanted, each.name) for each in fields(wanted)}
        completed = self._completed(case, what)
        if isinstance(completed, IsolationMeasurement):
            return RecordIsolation(
                what=completed,
                record_id=EvidenceId(f"{wanted.entry_id[:54]}-isolation"),
                finding_id=finding_of(case, completed.island, self.points(case)),
                **held,
            )
        command: SafingCommand = _COMMANDS[type(what)](what=completed, **held)
        return command

    def _completed(self, case: Case, what: Entered) -> Entered:
        """Return the entry with what only the case can tell, or refuse what it does not know."""
        points = {point.id: point for point in self.points(case)}
        if isinstance(what, StepDone) and what.step is Step.INSTRUMENT_PROVED_AGAIN:
            return replace(what, points=tuple(points))
        if isinstance(what, PointReading):
            if what.point_id not in points:
                raise InvalidInputError(
                    f"This car has no test point '{what.point_id}'; its points follow from the "
                    "layout and the findings."
                )
            return replace(what, point_name=points[what.point_id].name)
        if isinstance(what, IsolationMeasurement):
            islands = islands_of(tuple(points.values()))
            if what.island not in islands:
                raise InvalidInputError(
                    f"This car has no island '{what.island}'. Isolation is measured per island: "
                    f"{'; '.join(islands)}."
                )
        return what

    def _check_by_shop(self, case: Case, command: SafingCommand, signed: Signed) -> None:
        """Refuse what the shop's own, tighter settings refuse; the command knows ours only."""
        is_known = any(entry.id == command.entry_id for entry in case.safing)
        if is_known or not isinstance(command, RecordReading):
            return
        entry = SafingEntry(
            id=command.entry_id,
            number=len(case.safing) + 1,
            what=command.what,
            done_at=command.done_at or signed.at,
            recorded=signed,
        )
        fault = run_of(case, self.policy).fault(entry)
        if fault:
            raise InvalidInputError(fault)

    def _apply(self, case_id: CaseId, command: AnyCommand, signed: Signed, what: Entered) -> Case:
        def refuse(before: Case, _after: Case) -> None:
            why = why_not_yet(before, what)
            if why:
                raise InvalidInputError(why)

        applied = self._cases.apply(case_id, command, signed, check=refuse)
        if applied.after != applied.before:
            _log.info("%s case=%s", command.kind.replace(" ", "_").replace(":", ""), case_id)
        return applied.after


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wanted:
    """What every command on the record has; see ``domain.safing.commands``."""

    entry_id: SafingId
    done_at: datetime | None = None
    note: str = ""
    photo_id: PhotoId | None = None
    again: bool = False


_COMMANDS: dict[type, type] = {
    StepDone: RecordStep,
    PointReading: RecordReading,
    TemperatureReading: RecordTemperature,
    Happened: RecordHappening,
    LayoutChosen: ChooseLayout,
    IsolationMeasurement: RecordIsolation,
}
