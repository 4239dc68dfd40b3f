"""Release: refused while anything is open, and then for exactly the state that was seen."""

from dataclasses import replace

import pytest

from tests.builders import ADJUSTER, ESTIMATOR, SENIOR
from tests.released import F1, SHIELD, ready_case, sign_all
from tests.unit.services.shop import TestClock, a_shop
from triage_app.domain.case import Case
from triage_app.domain.errors import (
    InvalidInputError,
    NotAllowedError,
    StaleCaseError,
    StorageError,
)
from triage_app.domain.safing.entries import Happened, Happening
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.reporting import Issued, LoadPhoto, Progress, ReportInput


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def shop(clock: TestClock) -> Services:
    return a_shop(clock)


@pytest.fixture
def ready(shop: Services, clock: TestClock) -> Case:
    return ready_case(shop, clock)


def plain(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
    return b"the report"


def released(shop: Services, case: Case, *, by: Operator = SENIOR) -> Issued:
    return shop.reporting.release(case.id, expected_revision=case.revision, by=by, render=plain)


def test_a_release_is_on_record_with_the_head_of_the_journal_and_stays(
    shop: Services, ready: Case
) -> None:
    assert shop.reporting.blockers(ready) == ()
    journal = shop.cases.journal(ready.id)
    report = released(shop, ready).report
    assert report.release is not None
    assert report.release.journal_head == journal[-1].entry_hash
    assert report.release.journal_count == len(journal)
    assert report.file_name.endswith("-released.docx")
    assert report.issued.by == SENIOR.name
    shop.marking.tag(ready.id, F1, replace(SHIELD, note="later"), by=ESTIMATOR, expected_revision=1)
    assert shop.reporting.load(ready.id, report.sha256, by=ADJUSTER).data == b"the report"
    assert shop.cases.get(ready.id).reports == (report,)


def test_only_a_senior_technician_releases(shop: Services, ready: Case) -> None:
    for by in (ESTIMATOR, ADJUSTER):
        with pytest.raises(NotAllowedError):
            released(shop, ready, by=by)
    assert shop.cases.get(ready.id).reports == ()


def test_an_edit_of_a_signed_finding_stops_the_release_until_it_is_signed_again(
    shop: Services, ready: Case
) -> None:
    case = shop.marking.tag(
        ready.id, F1, replace(SHIELD, note="seen again"), by=ESTIMATOR, expected_revision=1
    )
    with pytest.raises(InvalidInputError, match="Finding 1 changed since Sam Senior signed it"):
        released(shop, case)
    sign_all(shop, case.id)
    assert released(shop, shop.cases.get(case.id)).report.release is not None


def test_a_void_record_stops_the_release(shop: Services, ready: Case) -> None:
    case = shop.safing.record(ready.id, Happened(what=Happening.LOCK_REMOVED), by=SENIOR)
    with pytest.raises(InvalidInputError, match=r"stays a draft\. Make safe: .* void"):
        released(shop, case)


def test_who_releases_signs_for_the_state_that_they_saw(shop: Services, ready: Case) -> None:
    shop.photos.pin(ready.id, ready.photos[0].id, (0.4, 0.2), by=ESTIMATOR)
    with pytest.raises(StaleCaseError, match="look at what changed first"):
        released(shop, ready)
    assert shop.cases.get(ready.id).reports == ()


def test_a_case_that_moves_while_the_report_is_made_is_not_released(
    shop: Services, ready: Case
) -> None:
    def meanwhile(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
        shop.marking.withdraw(material.case.id, F1, reason="Twice.", expected_revision=1, by=SENIOR)
        return b"the report"

    with pytest.raises(StaleCaseError):
        shop.reporting.release(
            ready.id, expected_revision=ready.revision, by=SENIOR, render=meanwhile
        )
    assert shop.cases.get(ready.id).reports == ()


def test_a_report_that_cannot_be_made_is_not_released(shop: Services, ready: Case) -> None:
    def fails(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
        raise StorageError("The disk is full.")

    with pytest.raises(StorageError):
        shop.reporting.release(ready.id, expected_revision=ready.revision, by=SENIOR, render=fails)
    assert shop.cases.get(ready.id).reports == ()
