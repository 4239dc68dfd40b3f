"""Supplements: exactly what was added, changed and withdrawn since the last released report."""

import hashlib
from dataclasses import replace
from decimal import Decimal

import pytest

from rules import Risk
from tests.builders import SIGNED, a_case, a_finding, some_tags
from tests.unit.report.material import (
    a_rulebook,
    assessed,
    low_without_flag,
    material,
    photos_from,
    quiet,
)
from tests.unit.report.word_file import WordFile, text_of
from triage_app.casefile.cases import case_to_json
from triage_app.domain.case import Finding, IssuedReport, Measures, Release, Withdrawal
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import Sha256
from triage_app.domain.plan.given import PlanGiven, PriceRow
from triage_app.domain.vehicle import Incident
from triage_app.report import Layout, render_report
from triage_app.report.carried import statement_in
from triage_app.report.revision import Kind, differences
from triage_app.report.statement import (
    Item,
    Statement,
    Topic,
    statement_from_json,
    statement_to_json,
)
from triage_app.services.reporting import Earlier, ReportInput

CABLE = a_finding(1, tags=some_tags("hv_cable", "severed", zone="battery_front"), marks=())
SHIELD = a_finding(2, tags=some_tags("skid_plate", "dent", measures=Measures(depth_mm=2)), marks=())
PRICED = Incident(pre_loss_value=Decimal(20_000), currency="EUR")


def _render(given: ReportInput) -> bytes:
    return render_report(given, a_rulebook(), photos_from(), layout=Layout(), progress=quiet)


def _given(*findings: Finding, risk: Risk = Risk.LOW, price: int | None = None) -> ReportInput:
    case = a_case(*findings, photos=(), incident=PRICED)
    if price is not None:
        row = PriceRow(operation="replace:hv_cable", part=Decimal(price))
        case = replace(case, plan=PlanGiven(edits=(row,)))
    answers = [replace(low_without_flag(one.id), risk=risk) for one in case.open_findings]
    return material(case, assessed(case, *answers))


def _after(earlier: ReportInput, now: ReportInput) -> ReportInput:
    data = _render(replace(earlier, is_release=True))
    report = IssuedReport(
        sha256=Sha256(hashlib.sha256(data).hexdigest()),
        case_revision=earlier.case.revision,
        rulebook_sha256="ab" * 32,
        file_name="first.docx",
        issued=SIGNED,
        release=Release(journal_head="cd" * 32, journal_count=9),
    )
    return replace(now, earlier=Earlier(report=report, data=data))


def _rows(given: ReportInput) -> list[list[str]]:
    return WordFile(_render(given)).table("Changes since the last released report")


def _item(id_: str, *facts: tuple[str, str], withdrawn: str = "") -> Item:
    return Item(
        topic=Topic.FINDING, id=id_, title=f"Finding {id_}", facts=facts, withdrawn=withdrawn
    )


def _statement(*items: Item) -> Statement:
    return Statement(case_id="c", case_revision=1, case_sha256="00" * 32, items=items)


@pytest.mark.parametrize(
    ("before", "after", "wanted"),
    [
        ([_item("1", ("Size", "2 mm"))], [_item("1", ("Size", "2 mm"))], []),
        (
            [_item("1", ("Size", "2 mm"))],
            [_item("1", ("Size", "5 mm"))],
            [(Kind.CHANGED, "Size", "2 mm", "5 mm")],
        ),
        ([], [_item("1", ("Size", "2 mm"))], [(Kind.ADDED, "", "not stated", "Size: 2 mm")]),
        (
            [_item("1", ("Size", "2 mm"))],
            [_item("1", withdrawn="twice (Erin)")],
            [(Kind.WITHDRAWN, "", "Size: 2 mm", "twice (Erin)")],
        ),
        ([_item("1", withdrawn="twice")], [_item("1", withdrawn="twice")], []),
        ([], [_item("1", withdrawn="twice")], [(Kind.WITHDRAWN, "", "not stated", "twice")]),
        (
            [_item("1", withdrawn="twice")],
            [_item("1", ("Size", "2 mm"))],
            [(Kind.ADDED, "", "withdrawn: twice", "Size: 2 mm")],
        ),
        ([_item("1", ("Size", "2 mm"))], [], [(Kind.GONE, "", "Size: 2 mm", "not stated")]),
        (
            [_item("1", ("Size", "2 mm"))],
            [_item("1", ("Note", "old"))],
            [
                (Kind.CHANGED, "Note", "not stated", "old"),
                (Kind.CHANGED, "Size", "2 mm", "not stated"),
            ],
        ),
    ],
)  # fmt: skip
def test_each_difference_is_told_once_with_old_and_new(
    before: list[Item], after: list[Item], wanted: list[tuple[Kind, str, str, str]]
) -> None:
    found = differences(_statement(*before), _statement(*after))

    assert [(one.kind, one.fact, one.before, one.after) for one in found] == wanted


def test_a_statement_survives_its_text_whatever_people_typed() -> None:
    hostile = _item("1", ("Note", "]]> <b> & \x00 \ud800 \u0643\u0627\u0628\u0644 \u202e"))
    statement = _statement(hostile)

    assert statement_from_json(statement_to_json(statement)) == statement


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"format": 99}', '{"format": 1, "items": 3}'])
def test_a_statement_that_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(InvalidInputError):
        statement_from_json(text)


def test_a_report_carries_the_hash_of_its_case_and_prints_it() -> None:
    given = _given(CABLE)
    data = _render(given)

    statement = statement_in(data)

    assert statement is not None
    wanted = hashlib.sha256(case_to_json(given.case).encode()).hexdigest()
    assert statement.case_sha256 == wanted
    assert wanted in text_of(WordFile(data).body)


def test_a_supplement_opens_with_findings_sizes_risk_and_prices_side_by_side() -> None:
    deeper = replace(SHIELD, tags=replace(SHIELD.tags, measures=Measures(depth_mm=7)))
    new = a_finding(3, tags=some_tags("radiator", "leak"), marks=())
    gone = replace(CABLE, withdrawn=Withdrawal(reason="Not this car.", signed=SIGNED))

    now = _given(gone, deeper, new, risk=Risk.SERIOUS, price=480)
    given = _after(_given(CABLE, SHIELD, price=450), now)

    header, *rows = _rows(given)
    assert header[2:] == ["Revision 1", "Revision 1, now"]
    assert any(
        row[0] == "withdrawn" and "Finding 1" in row[1] and "Not this car." in row[3]
        for row in rows
    )
    assert any(row[0] == "added" and "Finding 3" in row[1] for row in rows)
    changed = {row[1]: (row[2], row[3]) for row in rows if row[0] == "changed"}
    assert changed["Finding 2. Skid plate: dent: Hazard now"] == ("Low", "Serious")
    size = changed["Finding 2. Skid plate: dent: Size"]
    assert "depth 2 mm" in size[0]
    assert "depth 7 mm" in size[1]
    assert changed["replace:hv_cable: Part"] == ("450", "480")
    # What stayed is not listed.
    assert not any("Where" in row[1] for row in rows)


def test_page_one_counts_things_and_not_rows() -> None:
    given = _after(_given(CABLE, SHIELD), _given(CABLE, SHIELD, risk=Risk.SERIOUS))

    words = text_of(WordFile(_render(given)).body)

    assert "Supplement. Since the report of revision 1, released by Erin Estimator" in words
    assert "2 findings changed and the case as a whole changed" in words


def test_a_first_report_says_nothing_of_changes() -> None:
    assert "Supplement" not in text_of(WordFile(_render(_given(CABLE))).body)


def test_an_unchanged_case_says_so() -> None:
    words = text_of(WordFile(_render(_after(_given(CABLE), _given(CABLE)))).body)

    assert words.count("Nothing that a report states has changed since") == 2


def test_a_released_file_without_a_statement_is_said_to_be_beyond_comparison() -> None:
    given = _after(_given(CABLE), _given(CABLE))
    assert given.earlier is not None
    for data in (b"no zip", _render(_given(CABLE))[:-40]):
        broken = replace(given, earlier=replace(given.earlier, data=data))
        assert "cannot be listed" in text_of(WordFile(_render(broken)).body)
