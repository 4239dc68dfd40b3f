"""Records of evidence in every store: kept as they were, journalled, and never lost to a race."""

import json
import threading

from tests.builders import (
    AN_INSTRUMENT,
    NOON,
    SENIOR,
    SIGNED,
    a_case,
    a_finding,
    a_test,
    record_of,
)
from triage_app.casefile import command_from_json
from triage_app.domain.evidence_commands import AcceptEvidence, WithdrawEvidence
from triage_app.domain.ids import EvidenceId
from triage_app.domain.journal import first_bad_entry
from triage_app.domain.signed import Signed
from triage_app.storage.open import Stores

E1 = EvidenceId("E1")
BY_SENIOR = Signed(by=SENIOR.name, at=NOON)
RECORD = record_of(a_test(value=2.5, instrument=AN_INSTRUMENT), a_finding())


def test_a_record_and_its_decisions_come_back_as_they_went(stores: Stores) -> None:
    case = stores.cases.create(a_case(a_finding()), SIGNED)
    expected = case
    for command, signed in (
        (RECORD, SIGNED),
        (AcceptEvidence(record_id=E1), BY_SENIOR),
        (WithdrawEvidence(record_id=E1, reason="Another car."), SIGNED),
    ):
        stores.cases.apply(case.id, command, signed)
        expected = command.apply(expected, signed)
    assert stores.cases.get(case.id).evidence == expected.evidence


def test_the_journal_holds_the_record_before_and_after_each_decision(stores: Stores) -> None:
    case = stores.cases.create(a_case(a_finding()), SIGNED)
    stores.cases.apply(case.id, RECORD, SIGNED)
    accept = AcceptEvidence(record_id=E1)
    stores.cases.apply(case.id, accept, BY_SENIOR)
    entries = stores.cases.journal(case.id)
    assert first_bad_entry(entries) is None
    recorded, accepted = (json.loads(entry.detail) for entry in entries[1:])
    assert recorded["before"] == {"evidence": []}
    assert recorded["after"]["evidence"][0]["id"] == "E1"
    assert accepted["before"] == recorded["after"]
    assert accepted["after"]["evidence"][0]["decisions"][0]["verdict"] == "accepted"
    assert command_from_json(json.dumps(accepted["command"])) == accept


def test_deciding_twice_writes_once(stores: Stores) -> None:
    case = stores.cases.create(a_case(a_finding()), SIGNED)
    for _ in range(2):
        stores.cases.apply(case.id, RECORD, SIGNED)
    for _ in range(2):
        stores.cases.apply(case.id, AcceptEvidence(record_id=E1), BY_SENIOR)
    assert [entry.kind for entry in stores.cases.journal(case.id)] == [
        "case opened",
        "evidence recorded",
        "evidence accepted",
    ]


def test_people_who_record_at_once_lose_nothing(stores: Stores) -> None:
    case = stores.cases.create(a_case(a_finding()), SIGNED)
    ready = threading.Barrier(3)

    def record(person: str) -> None:
        ready.wait()
        for number in range(5):
            command = record_of(a_test(), a_finding(), record_id=f"{person}{number}")
            stores.cases.apply(case.id, command, Signed(by=person * 3, at=NOON))

    threads = [threading.Thread(target=record, args=(person,)) for person in "ABC"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    held = stores.cases.get(case.id).evidence
    assert sorted(one.number for one in held) == list(range(1, 16))
    assert {one.id for one in held} == {f"{person}{n}" for person in "ABC" for n in range(5)}
