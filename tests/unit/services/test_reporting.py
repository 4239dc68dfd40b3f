"""Reporting: what is handed out is kept under its hash and on record."""

import hashlib

import pytest

from tests.builders import ADJUSTER, ESTIMATOR
from tests.unit.services.shop import a_shop
from triage_app.domain.errors import NotFoundError, StorageError
from triage_app.domain.ids import Sha256
from triage_app.services.reporting import LoadPhoto, Progress, ReportInput


def test_an_issued_report_is_kept_and_recorded() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR, reference="R/1 ä")
    seen: list[ReportInput] = []

    def render(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
        seen.append(material)
        return b"the report"

    issued = shop.reporting.issue(case.id, by=ESTIMATOR, render=render)
    assert issued.report.sha256 == hashlib.sha256(b"the report").hexdigest()
    assert issued.report.file_name == "underbody-report-R-1-ä-r1-draft.docx"
    stored = shop.cases.get(case.id)
    assert stored.reports == (issued.report,)
    assert shop.reporting.load(case.id, issued.report.sha256, by=ADJUSTER).data == b"the report"
    journal = shop.cases.journal(case.id)
    assert seen[0].journal_count == 1
    assert seen[0].journal_head == journal[0].entry_hash
    assert journal[-1].kind == "report issued"


def test_a_report_of_another_case_is_not_found() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    with pytest.raises(NotFoundError):
        shop.reporting.load(case.id, Sha256("0" * 64), by=ADJUSTER)


def test_a_report_that_cannot_be_made_is_not_recorded() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)

    def render(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
        raise StorageError("The disk is full.")

    with pytest.raises(StorageError):
        shop.reporting.issue(case.id, by=ESTIMATOR, render=render)
    assert shop.cases.get(case.id).reports == ()
    assert len(shop.cases.journal(case.id)) == 1
