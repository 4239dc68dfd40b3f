"""Making the report, and fetching it by our own checked address."""

import hashlib

import pytest

from tests.builders import ESTIMATOR
from tests.ui.conftest import WORD_BYTES, OpenPage, press, said
from triage_app.domain.case import Case
from triage_app.domain.errors import StorageError
from triage_app.domain.ids import Sha256
from triage_app.report.pdf import pdf_is_possible
from triage_app.services import Services
from triage_app.ui import report_text
from triage_app.ui.navigation import Place

MAKE = "Make the Word report"


def test_a_report_is_made_recorded_and_offered_by_a_checked_address(
    open_page: OpenPage, shop: Services, flagged: Case
) -> None:
    tab = press(open_page(Place.REPORT, flagged), MAKE)
    [report] = shop.cases.get(flagged.id).reports
    made = WORD_BYTES + str(flagged.revision).encode()
    assert report.sha256 == hashlib.sha256(made).hexdigest()
    page = said(tab)
    assert f'href="/reports/{flagged.id}/{report.sha256}"' in page
    assert f"SHA-256 {report.sha256}" in page
    assert f"{report.file_name} is ready below." in page
    assert "download the newest report" in page
    assert not tab.get("download_button")


def test_every_report_is_called_a_draft_until_reviewed(open_page: OpenPage, flagged: Case) -> None:
    assert "<b>DRAFT</b>" in said(open_page(Place.REPORT, flagged))


def test_a_change_after_the_report_asks_for_a_new_one_and_both_stay_listed(
    open_page: OpenPage, shop: Services, withdrawable: Case
) -> None:
    press(open_page(Place.REPORT, withdrawable), MAKE)
    assert "download the newest report" in said(open_page(Place.REPORT, withdrawable))
    shop.marking.withdraw(
        withdrawable.id,
        withdrawable.findings[1].id,
        reason="dirt",
        expected_revision=2,
        by=ESTIMATOR,
    )
    tab = open_page(Place.REPORT, withdrawable)
    assert "the case has changed since the last report" in said(tab)
    press(tab, MAKE)
    page = said(tab)
    assert page.count(report_text.DOWNLOAD + "</a>") == 2
    assert page.count('/pdf"') == (2 if pdf_is_possible() else 0)


def test_what_is_missing_is_listed_and_never_called_complete(
    open_page: OpenPage, flagged: Case
) -> None:
    page = said(open_page(Place.REPORT, flagged))
    for sentence in (
        "Make-safe record: not recorded.",
        "The system voltage is not known, so it counts as high.",
        "The zone is not said, finding 1, 2.",
        "Signs on arrival not known, so taken as present",
    ):
        assert sentence in page
    assert "complete" not in page.lower()


def test_when_nothing_can_be_stored_one_sentence_says_so_and_nothing_is_recorded(
    open_page: OpenPage, shop: Services, flagged: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(data: bytes) -> Sha256:
        raise StorageError(f"The disk is full; {len(data)} bytes were not stored.")

    monkeypatch.setattr(shop.blobs, "put", full)
    tab = press(open_page(Place.REPORT, flagged), MAKE)
    assert [error.value for error in tab.error] == ["The disk is full; 28 bytes were not stored."]
    assert shop.cases.get(flagged.id).reports == ()
