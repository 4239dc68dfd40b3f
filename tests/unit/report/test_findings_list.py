"""The findings as rows: the report's words and order, and no cell that a spreadsheet would run."""

import csv
import io
from dataclasses import fields

import pandas as pd
import pytest

from rules import assess
from tests.builders import a_case, a_finding, some_tags
from tests.unit.report.material import a_rulebook
from triage_app.domain.case import Case, Measures
from triage_app.domain.findings import case_facts
from triage_app.report.findings_list import FindingRow, csv_of, finding_rows, finding_tags


def rows_of(case: Case) -> tuple[FindingRow, ...]:
    return finding_rows(case, assess(case_facts(case), a_rulebook()), a_rulebook())


def two_findings(note: str = "") -> Case:
    mild = a_finding(1, tags=some_tags("wheel", "scrape", measures=Measures(length_mm=12.5)))
    grave = a_finding(2, tags=some_tags("hv_cable", "severed", note=note))
    return a_case(mild, grave)


def test_the_worst_comes_first_and_words_are_the_reports() -> None:
    grave, mild = rows_of(two_findings())
    assert (grave.number, grave.part, grave.damage, grave.hv_flag, grave.risk) == (
        2,
        "HV cable",
        "severed",
        "At HV",
        "High",
    )
    assert grave.length_mm is None
    assert mild.length_mm == 12.5
    assert grave.deciding_rules
    assert grave.deciding_reason
    assert "Isolation resistance" in grave.outstanding_tests


@pytest.mark.parametrize("note", ["=1+1", "+cmd", "-2", "@SUM(A1)", '=HYPERLINK("x")'])
def test_no_cell_is_a_formula(note: str) -> None:
    text = csv_of(rows_of(two_findings(note))).decode("utf-8-sig")
    cells = next(csv.DictReader(io.StringIO(text)))
    assert cells["note"] == f"'{note}"
    assert not any(str(cell).startswith(("=", "+", "-", "@")) for cell in cells.values())


def test_pandas_reads_what_was_written() -> None:
    rows = rows_of(two_findings('two, "quoted"'))
    frame = pd.read_csv(io.BytesIO(csv_of(rows)), encoding="utf-8-sig")
    assert list(frame.columns) == [field.name for field in fields(FindingRow)]
    assert list(frame["number"]) == [2, 1]
    assert frame["note"][0] == 'two, "quoted"'
    assert frame["length_mm"][1] == 12.5
    assert frame["length_mm"].isna()[0]


def test_no_finding_is_a_header_alone() -> None:
    assert csv_of(rows_of(a_case())).decode("utf-8-sig").count("\r\n") == 1


def test_tags_say_number_part_damage_place_flag_and_risk() -> None:
    case = two_findings()
    tags = finding_tags(case, assess(case_facts(case), a_rulebook()), a_rulebook())
    assert tags[case.findings[1].id][:3] == ("Finding 2", "HV cable", "severed")
    assert tags[case.findings[1].id][-2:] == ("At HV", "Risk High")
