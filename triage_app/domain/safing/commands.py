"""The commands on the make-safe record: each adds one entry, and none is ever edited.

Like every command they are applied to the freshly loaded case, and a repeat is harmless. Two
people who record the same step or point at once: the second is told what the first recorded.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import ClassVar

from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, StaleCaseError
from triage_app.domain.evidence import SeenCar
from triage_app.domain.evidence_commands import RecordEvidence, seen_in
from triage_app.domain.ids import EvidenceId, FindingId, PhotoId, SafingId
from triage_app.domain.isolation import IsolationMeasurement
from triage_app.domain.safing.entries import (
    Entered,
    Happened,
    LayoutChosen,
    PointReading,
    SafingEntry,
    StepDone,
    TemperatureReading,
)
from triage_app.domain.safing.islands import isolation_evidence
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.safing.run import CLOCKS_DIFFER, Run
from triage_app.domain.safing.state import run_of
from triage_app.domain.safing.steps import Step
from triage_app.domain.signed import Signed

# The loosest that a shop may set; the service asks for what the shop has set besides.
_AS_SHIPPED = SafingPolicy()


@dataclass(frozen=True, slots=True, kw_only=True)
class _AddEntry:
    """What every entry has. ``done_at`` None is now; ``again`` says that it was done once more."""

    entry_id: SafingId
    done_at: datetime | None = None
    note: str = ""
    photo_id: PhotoId | None = None
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordStep(_AddEntry):
    """Put a step of making safe on record; InvalidInputError says what is missing before it."""

    kind: ClassVar[str] = "make-safe step recorded"
    what: StepDone

    def apply(self, case: Case, signed: Signed) -> Case:
        return _added(case, self, self.what, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordReading(_AddEntry):
    """Put the three voltages at a test point on record."""

    kind: ClassVar[str] = "test point read"
    what: PointReading

    def apply(self, case: Case, signed: Signed) -> Case:
        return _added(case, self, self.what, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordTemperature(_AddEntry):
    """Put a temperature, and the signs that were noticed, on record."""

    kind: ClassVar[str] = "temperature read"
    what: TemperatureReading

    def apply(self, case: Case, signed: Signed) -> Case:
        return _added(case, self, self.what, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordHappening(_AddEntry):
    """Put on record what happened to the car, such as the 12 V supply connected again."""

    kind: ClassVar[str] = "make-safe record: something happened"
    what: Happened

    def apply(self, case: Case, signed: Signed) -> Case:
        return _added(case, self, self.what, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChooseLayout(_AddEntry):
    """Say which units of the high-voltage system this car has."""

    kind: ClassVar[str] = "high-voltage layout chosen"
    what: LayoutChosen

    def apply(self, case: Case, signed: Signed) -> Case:
        return _added(case, self, self.what, signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordIsolation(_AddEntry):
    """Put the isolation of an island on record, measured by the maker's procedure.

    ``record_id`` is that of the record of evidence that goes with it, about the finding that made
    the island or, without one, about the whole car; None puts no such record beside it.
    """

    kind: ClassVar[str] = "isolation measured"
    what: IsolationMeasurement
    record_id: EvidenceId | None = None
    finding_id: FindingId | None = None

    def apply(self, case: Case, signed: Signed) -> Case:
        added = _added(case, self, self.what, signed)
        if added is case or self.record_id is None:
            return added
        return RecordEvidence(
            record_id=self.record_id,
            finding_id=self.finding_id,
            seen=seen_in(case, self.finding_id),
            seen_car=SeenCar.of(case.vehicle),
            entry=isolation_evidence(self.what),
        ).apply(added, signed)


SafingCommand = (
    RecordStep
    | RecordReading
    | RecordTemperature
    | RecordHappening
    | ChooseLayout
    | RecordIsolation
)


def _added(case: Case, command: _AddEntry, what: Entered, signed: Signed) -> Case:
    if any(entry.id == command.entry_id for entry in case.safing):
        return case
    if command.photo_id is not None:
        case.photo(command.photo_id)
    entry = SafingEntry(
        id=command.entry_id,
        number=len(case.safing) + 1,
        what=what,
        done_at=command.done_at or signed.at,
        note=command.note,
        photo_id=command.photo_id,
        recorded=signed,
    )
    if entry.done_at > signed.at + CLOCKS_DIFFER:
        raise InvalidInputError("The time stated for it has not come yet.")
    run = run_of(case, _AS_SHIPPED)
    if not command.again:
        _refuse_second(run, what)
    fault = run.fault(entry)
    if fault:
        raise InvalidInputError(fault)
    return replace(case, safing=(*case.safing, entry))


def _refuse_second(run: Run, what: Entered) -> None:
    if isinstance(what, StepDone):
        earlier, named = run.done.get(what.step), f"'{what.step}'"
    elif isinstance(what, PointReading) and Step.INSTRUMENT_PROVED_AGAIN not in run.done:
        earlier = run.readings.get((what.point_id, what.turn))
        named = f"reading {what.turn} of '{what.point_name}'"
    else:
        return
    if earlier is not None:
        raise StaleCaseError(
            f"{earlier.recorded.by} has recorded {named} already, at "
            f"{earlier.done_at:%H:%M:%S} UTC; theirs stands. Record it again only if it was done "
            "again: whatever followed it then has to be done again too."
        )
