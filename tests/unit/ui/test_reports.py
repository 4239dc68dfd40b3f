"""Issued reports: byte for byte, by their hash, only for who is signed in."""

import pytest

from tests.builders import ESTIMATOR
from tests.unit.ui.browser import Browser
from tests.unit.ui.conftest import a_case_with_photo
from triage_app.domain.case import Case, IssuedReport
from triage_app.services import Services
from triage_app.ui.picture_links import report_link
from triage_app.ui.routes.reports import WORD_TYPE

WORD_BYTES = b"PK\x03\x04 stands for a Word file"


@pytest.fixture
def report(shop: Services, case: Case) -> IssuedReport:
    return shop.reporting.issue(
        case.id, by=ESTIMATOR, render=lambda _material, _load, _progress: WORD_BYTES
    ).report


def test_a_stranger_gets_no_report(stranger: Browser, case: Case, report: IssuedReport) -> None:
    assert stranger.get(report_link(case.id, report.sha256)).status_code == 403


def test_a_report_comes_as_it_was_issued_under_its_own_name(
    browser: Browser, case: Case, report: IssuedReport
) -> None:
    answer = browser.get(report_link(case.id, report.sha256))
    assert (answer.status_code, answer.content) == (200, WORD_BYTES)
    assert answer.headers["content-type"] == WORD_TYPE
    assert answer.headers["cache-control"] == "private, no-store"
    disposition = answer.headers["content-disposition"]
    assert disposition.startswith(f'attachment; filename="{report.file_name}"')


def test_a_reference_with_other_letters_keeps_a_header_that_can_be_sent(
    browser: Browser, shop: Services
) -> None:
    case = a_case_with_photo(shop, "Überführung 7")
    issued = shop.reporting.issue(
        case.id, by=ESTIMATOR, render=lambda _material, _load, _progress: WORD_BYTES
    )
    answer = browser.get(report_link(case.id, issued.report.sha256))
    disposition = answer.headers["content-disposition"]
    assert "filename*=UTF-8''underbody-report-%C3%9Cberf%C3%BChrung-7-r2-draft.docx" in disposition
    assert disposition.isascii()


def test_a_report_of_another_case_is_not_found(
    browser: Browser, shop: Services, report: IssuedReport
) -> None:
    other = a_case_with_photo(shop, "R-2", seed=5)
    assert browser.get(report_link(other.id, report.sha256)).status_code == 404


@pytest.mark.parametrize(("sha256", "status"), [("0" * 64, 404), ("x" * 64, 400), ("A" * 64, 400)])
def test_an_unknown_report_is_not_found(
    browser: Browser, case: Case, sha256: str, status: int
) -> None:
    assert browser.get(f"/reports/{case.id}/{sha256}").status_code == status


def test_a_photos_original_cannot_be_had_as_a_report(browser: Browser, case: Case) -> None:
    assert browser.get(report_link(case.id, case.photos[0].sha256)).status_code == 404
