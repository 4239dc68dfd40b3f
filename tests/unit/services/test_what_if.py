"""What if, on the stored case: the answer is that of saving it, and nothing is saved."""

import hashlib
from datetime import timedelta
from pathlib import Path

import pytest

from rules import DamageId, OpenTestId
from tests.builders import ESTIMATOR, SENIOR, a_test, some_tags
from tests.contract.stand_ins import plain_summary
from tests.unit.services.shop import RULEBOOK, a_shop
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.vehicle import Answer, Incident, Vehicle
from triage_app.domain.what_changed import ListName
from triage_app.domain.what_if import (
    SupposeAccepted,
    SupposeEvidence,
    SupposeFinding,
    SupposeIncident,
    SupposeVehicle,
    Supposition,
)
from triage_app.services import Services
from triage_app.services.triage import Triage
from triage_app.storage.open import open_stores

F1, E1 = FindingId("F1"), EvidenceId("E1")
HOSE = some_tags("coolant_hose", "crack")
EVERYTHING: list[Supposition] = [
    SupposeFinding(finding_id=F1, tags=some_tags("hv_cable", "severed")),
    SupposeVehicle(vehicle=Vehicle(system_voltage_v=800)),
    SupposeIncident(incident=Incident(smoke=Answer.YES)),
    SupposeEvidence(finding_id=None, entry=a_test()),
    SupposeEvidence(finding_id=F1, entry=a_test("coolant_hold")),
]


@pytest.fixture
def shop() -> Services:
    return a_shop()


@pytest.fixture
def case(shop: Services) -> Case:
    opened = shop.intake.open_case(by=ESTIMATOR, reference="R-1")
    return shop.marking.add_finding(opened.id, HOSE, by=ESTIMATOR, finding_id=F1)


def test_the_answer_is_that_of_saving_it(shop: Services, case: Case) -> None:
    leaking = some_tags("coolant_hose", "leak")
    supposed = shop.triage.what_if(
        case.id, [SupposeFinding(finding_id=F1, tags=leaking)], by=ESTIMATOR
    )
    assert supposed.before == shop.triage.assess(case.id, by=ESTIMATOR)
    shop.marking.tag(case.id, F1, leaking, expected_revision=1, by=ESTIMATOR)
    assert supposed.after == shop.triage.assess(case.id, by=ESTIMATOR)
    assert supposed.before != supposed.after


def test_a_supposed_result_answers_as_the_accepted_one_does(shop: Services, case: Case) -> None:
    entry = a_test("coolant_hold")
    supposed = shop.triage.what_if(
        case.id, [SupposeEvidence(finding_id=F1, entry=entry)], by=ESTIMATOR
    )
    shop.evidence.record(case, entry, by=ESTIMATOR, finding_id=F1, record_id=E1)
    waiting = shop.triage.what_if(case.id, [SupposeAccepted(record_id=E1)], by=ESTIMATOR)
    shop.evidence.accept(case.id, E1, by=SENIOR)
    assert (
        supposed.after.of(F1)
        == waiting.after.of(F1)
        == shop.triage.assess(case.id, by=ESTIMATOR).of(F1)
    )
    assert supposed.after.of(F1).residual is not None


def test_a_record_that_would_no_longer_be_current_is_listed(shop: Services, case: Case) -> None:
    shop.evidence.record(case, a_test("coolant_hold"), by=ESTIMATOR, finding_id=F1, record_id=E1)
    shop.evidence.accept(case.id, E1, by=SENIOR)
    leaking = some_tags("coolant_hose", "leak")
    answer = shop.triage.what_if(
        case.id, [SupposeFinding(finding_id=F1, tags=leaking)], by=ESTIMATOR
    )
    (records,) = (one for one in answer.changes[0].lists if one.what is ListName.RECORDS)
    assert [item.text for item in records.dropped] == ["Record 1: test result, coolant_hold"]


def test_nothing_supposed_changes_nothing(shop: Services, case: Case) -> None:
    answer = shop.triage.what_if(case.id, [], by=ESTIMATOR)
    assert answer.changes == ()
    assert answer.before == answer.after


@pytest.mark.parametrize(
    ("supposed", "said"),
    [
        pytest.param(
            SupposeFinding(finding_id=F1, tags=some_tags(damage=DamageId("bewitched"))),
            "no damage type 'bewitched'",
            id="damage",
        ),
        pytest.param(
            SupposeEvidence(finding_id=F1, entry=a_test(OpenTestId("kick"))),
            "no test 'kick'",
            id="test",
        ),
    ],
)
def test_a_word_that_the_book_does_not_know_is_refused(
    shop: Services, case: Case, supposed: Supposition, said: str
) -> None:
    with pytest.raises(InvalidInputError, match=said):
        shop.triage.what_if(case.id, [supposed], by=ESTIMATOR)


def test_a_database_and_its_files_stay_byte_for_byte(tmp_path: Path) -> None:
    stores = open_stores(
        f"sqlite:///{tmp_path}/cases.db", f"file://{tmp_path}/files", summarise=plain_summary
    )
    shop = a_shop()
    opened = shop.intake.open_case(by=ESTIMATOR, reference="R-1")
    case = shop.marking.add_finding(opened.id, HOSE, by=ESTIMATOR, finding_id=F1)
    stores.cases.insert_whole(case, shop.cases.journal(case.id))
    stores.blobs.put(b"an original")

    def held() -> dict[str, str]:
        return {
            path.relative_to(tmp_path).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted(tmp_path.rglob("*"))
            if path.is_file() and not path.name.endswith("-shm")  # locks, not data
        }

    before, names = held(), stores.blobs.names(settled_for=timedelta(0))
    journal = stores.cases.journal(case.id)
    answer = Triage(cases=stores.cases, rulebook=RULEBOOK).what_if(
        case.id, EVERYTHING, by=ESTIMATOR
    )
    assert answer.changes
    assert held() == before
    assert stores.cases.get(case.id) == case
    assert stores.cases.journal(case.id) == journal
    assert stores.blobs.names(settled_for=timedelta(0)) == names
    stores.close()
