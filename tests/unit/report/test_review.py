"""Review, release, gate and checklist in the report: what was said, by whom, over what."""

from dataclasses import replace

import pytest

from rules import HvFlag, Risk
from tests.builders import ESTIMATOR, SENIOR, some_tags
from tests.released import F1, SHIELD, WHY, ready_case, sign_all
from tests.unit.services.shop import RULEBOOK, TestClock, a_shop
from triage_app.domain.case import Case
from triage_app.domain.review.entries import ReviewVerdict
from triage_app.report import Layout
from triage_app.report.build import report_from
from triage_app.report.model import Block, Heading, ReportModel, Table, Text, paragraphs_of
from triage_app.services import Services
from triage_app.services.reporting import LoadPhoto, Progress, ReportInput
from triage_app.services.review import Decision


@pytest.fixture
def shop() -> Services:
    return a_shop(TestClock())


@pytest.fixture
def ready(shop: Services) -> Case:
    clock = shop.clock
    assert isinstance(clock, TestClock)
    return ready_case(shop, clock)


def model_of(shop: Services, case: Case, *, is_release: bool = False) -> ReportModel:
    """Return what the report of the case says, as a draft or as a release."""
    seen: list[ReportInput] = []

    def render(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
        seen.append(material)
        return b"a report"

    case = shop.cases.get(case.id)
    if is_release:
        shop.reporting.release(case.id, expected_revision=case.revision, by=SENIOR, render=render)
    else:
        shop.reporting.issue(case.id, by=SENIOR, render=render)
    return report_from(seen[0], RULEBOOK, Layout(shop_name="Invented Body Shop"))


def table(model: ReportModel, title: str) -> str:
    """Return the words of a table, a line per cell."""
    found = [each for each in model.blocks if isinstance(each, Table) and each.title == title]
    assert len(found) == 1
    return words(*found)


def words(*blocks: Block) -> str:
    return "\n".join(
        "".join(part.text for part in paragraph.texts if isinstance(part, Text))
        for block in blocks
        for paragraph in paragraphs_of(block)
    )


def page_one(model: ReportModel) -> str:
    headings = [
        number
        for number, block in enumerate(model.blocks)
        if isinstance(block, Heading) and block.level == 1
    ]
    return words(*model.blocks[: headings[1]])


REVIEWS = "Review of flagged findings"


def test_a_signature_stands_with_name_time_and_hash(shop: Services, ready: Case) -> None:
    said = table(model_of(shop, ready), REVIEWS)
    (review,) = ready.reviews
    assert "Confirmed, " in said
    assert (
        f"Sam Senior, {review.signed.at:%-d %B %Y, %H:%M} UTC; SHA-256 {review.given.sha256}"
        in said
    )
    assert "Not reviewed" not in said


def test_a_change_since_the_signature_is_told_loudly(shop: Services, ready: Case) -> None:
    shop.marking.tag(ready.id, F1, replace(SHIELD, note="late"), by=ESTIMATOR, expected_revision=1)
    model = model_of(shop, ready)
    assert "CHANGED SINCE IT WAS SIGNED: the note changed from not said to late" in table(
        model, REVIEWS
    )
    assert "DRAFT. No senior technician has released this report." in page_one(model)
    assert "Still open: review (1)." in page_one(model)


def test_a_lowered_finding_shows_the_rules_answer_and_the_reviewers_with_the_reason(
    shop: Services, ready: Case
) -> None:
    item = shop.review.queue(ready).of(F1)
    assert item is not None
    lower = Decision(
        verdict=ReviewVerdict.LOWERED,
        hv_flag=HvFlag.WITHIN_REACH,
        risk=Risk.LOW,
        reason="Cable seen whole behind it.",
    )
    shop.review.decide(ready.id, F1, lower, seen=item.sha256, by=SENIOR)
    said = table(model_of(shop, ready), REVIEWS)
    assert "; at HV" in said
    assert "Lowered, Low; within reach of HV: Cable seen whole behind it." in said


def test_a_released_report_says_who_released_it_on_page_one_and_at_the_signatures(
    shop: Services, ready: Case
) -> None:
    model = model_of(shop, ready, is_release=True)
    assert "RELEASED. By Sam Senior, " in page_one(model)
    assert "DRAFT" not in page_one(model)
    assert model.header_left.startswith("RELEASED")
    assert "Sam Senior" in table(model, "Signature lines")
    record = table(model, "Record")
    assert shop.cases.journal(ready.id)[-2].entry_hash in record


def test_the_gate_and_the_checklist_stand_with_people_and_reasons(
    shop: Services, ready: Case
) -> None:
    model = model_of(shop, ready)
    assert "Erin Estimator" in table(model, "Signs at the gate")
    listed = table(model, "Inspection checklist by zone")
    assert WHY in listed
    assert "nobody said why" not in listed
    assert "No finding is not the same as inspected." in page_one(model)


def test_what_nobody_explained_is_told_as_that(shop: Services) -> None:
    case = shop.intake.open_case(by=ESTIMATOR)
    model = model_of(shop, case)
    assert "nobody said why" in table(model, "Inspection checklist by zone")
    assert "not answered by name" in table(model, "Signs at the gate")
    assert "inspection (" in page_one(model)


def test_who_acknowledged_in_a_group_is_named_too(shop: Services, ready: Case) -> None:
    liner = some_tags("wheel_arch_liner", "scrape", zone="rear_left")
    shop.marking.add_finding(ready.id, liner, by=ESTIMATOR)
    sign_all(shop, ready.id)
    assert "Acknowledged, " in table(model_of(shop, ready), REVIEWS)
