"""What if: the case as it would be if something were otherwise. Pure; the case itself stays.

Each supposition does what the matching command does (see ``domain.commands``), so that the answer
is the one that saving it would give, refusals included. To tag a finding otherwise, or to
suppose another voltage or kind of drive, makes accepted good records not current here too.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from triage_app.domain.case import Case, Tags
from triage_app.domain.commands import DescribeIncident, DescribeVehicle, TagFinding
from triage_app.domain.evidence import EvidenceEntry, SeenCar
from triage_app.domain.evidence_commands import AcceptEvidence, RecordEvidence, seen_in
from triage_app.domain.evidence_standing import Standing, Standings
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Incident, Vehicle

_RECORDER, _REVIEWER = "Supposed recorder", "Supposed reviewer"
_ON_RECORD = {Standing.COUNTS, Standing.WAITING, Standing.ON_HOLD, Standing.NOT_CURRENT}


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposeFinding:
    """As if the finding were tagged so: another damage, distance, size, cover..."""

    finding_id: FindingId
    tags: Tags

    def apply(self, case: Case) -> Case:
        finding = case.finding(self.finding_id)
        command = TagFinding(
            finding_id=finding.id, tags=self.tags, expected_revision=finding.revision
        )
        return command.apply(case, _signed(case, _RECORDER))


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposeVehicle:
    """As if the car were so: another voltage or kind of drive."""

    vehicle: Vehicle

    def apply(self, case: Case) -> Case:
        return DescribeVehicle(vehicle=self.vehicle).apply(case, _signed(case, _RECORDER))


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposeIncident:
    """As if the signs on arrival were so."""

    incident: Incident

    def apply(self, case: Case) -> Case:
        return DescribeIncident(incident=self.incident).apply(case, _signed(case, _RECORDER))


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposeEvidence:
    """As if this were recorded now and accepted; in the place of the last record of that test.

    ``finding_id`` None is about the whole car (tests only).
    """

    finding_id: FindingId | None
    entry: EvidenceEntry

    def apply(self, case: Case) -> Case:
        # No record on file can have this id: an identifier holds no space.
        record_id = EvidenceId(f"supposed {case.next_evidence_number}")
        command = RecordEvidence(
            record_id=record_id,
            finding_id=self.finding_id,
            seen=seen_in(case, self.finding_id),
            seen_car=SeenCar.of(case.vehicle),
            entry=self.entry,
        )
        supposed = command.apply(case, _signed(case, _RECORDER))
        record = replace(supposed.evidence_record(record_id), replaces=_earlier(case, command))
        return SupposeAccepted(record_id=record_id).apply(supposed.with_evidence(record))


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposeAccepted:
    """As if another person accepted a record that waits."""

    record_id: EvidenceId

    def apply(self, case: Case) -> Case:
        return AcceptEvidence(record_id=self.record_id).apply(case, _signed(case, _REVIEWER))


Supposition = SupposeFinding | SupposeVehicle | SupposeIncident | SupposeEvidence | SupposeAccepted


def suppose(case: Case, suppositions: Sequence[Supposition]) -> Case:
    """Return the case as it would be; ``case`` stays as it is and nothing is stored.

    What is supposed of findings, car and signs comes first, then the records, whatever the order
    given. Raises InvalidInputError, NotFoundError and what else the commands refuse with.
    """
    for supposed in sorted(suppositions, key=_is_a_record):
        case = supposed.apply(case)
    return case


def _is_a_record(supposed: Supposition) -> bool:
    return isinstance(supposed, SupposeEvidence | SupposeAccepted)


def _earlier(case: Case, command: RecordEvidence) -> EvidenceId | None:
    """Return the last record of the same test that is still good for something."""
    standings = Standings(case)
    mine = (command.finding_id, command.entry.kind, command.entry.test)
    found = [
        old.id
        for old in case.evidence
        if (old.finding_id, old.entry.kind, old.entry.test) == mine
        and standings.of(old) in _ON_RECORD
    ]
    return found[-1] if found else None


def _signed(case: Case, by: str) -> Signed:
    return Signed(by=by, at=case.opened.at)
