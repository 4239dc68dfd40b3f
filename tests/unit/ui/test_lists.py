"""Lists of a case and the PDF of a report: only for who is signed in, never kept by a browser."""

import pytest

from tests.builders import ESTIMATOR
from tests.unit.ui.browser import Browser
from tests.unit.ui.test_reports import WORD_BYTES
from triage_app.domain.case import Case
from triage_app.services import Services
from triage_app.ui.picture_links import FINDINGS_FILE, MARKS_FILE, list_link, pdf_link
from triage_app.ui.routes import lists

TYPES = {FINDINGS_FILE: "text/csv; charset=utf-8", MARKS_FILE: "application/ld+json"}


@pytest.mark.parametrize("file_name", TYPES)
def test_a_list_goes_to_signed_in_people_only(
    stranger: Browser, browser: Browser, case: Case, file_name: str
) -> None:
    link = list_link(case.id, file_name)
    assert stranger.get(link).status_code == 403
    answer = browser.get(link)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == TYPES[file_name]
    assert answer.headers["cache-control"] == "private, no-store"
    assert f'filename="{case.reference}-{file_name}"' in answer.headers["content-disposition"]
    assert browser.get(list_link(case.id, file_name).replace(case.id, "nobody")).status_code == 404


def test_an_issued_report_comes_as_pdf(
    stranger: Browser,
    browser: Browser,
    shop: Services,
    case: Case,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(lists, "pdf_of", lambda data: b"%PDF of " + data)
    issued = shop.reporting.issue(
        case.id, by=ESTIMATOR, render=lambda _material, _load, _progress: WORD_BYTES
    )
    link = pdf_link(case.id, issued.report.sha256)
    assert stranger.get(link).status_code == 403
    answer = browser.get(link)
    assert (answer.status_code, answer.content) == (200, b"%PDF of " + WORD_BYTES)
    assert ".pdf" in answer.headers["content-disposition"]
    assert browser.get(pdf_link(case.id, case.photos[0].sha256)).status_code == 404
