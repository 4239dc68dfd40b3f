"""A list never shows yesterday's flags: after a change of the rule book it is made anew."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from rules import HvFlag, Risk
from tests.builders import NOON, SIGNED, a_case, a_finding
from tests.contract.stand_ins import plain_summary
from triage_app.domain.case import Case
from triage_app.services.ports import CaseSummary
from triage_app.storage.open import open_stores


def stricter(case: Case, changed_at: datetime) -> CaseSummary:
    summary = plain_summary(case, changed_at)
    return replace(summary, hv_flag=HvFlag.AT_HV, hv_flagged_count=9, risk=Risk.SERIOUS)


def never(case: Case, changed_at: datetime) -> CaseSummary:
    raise AssertionError((case, changed_at))


def test_another_rule_book_makes_every_summary_anew(cases_url: str) -> None:
    first = open_stores(cases_url, "memory://", summarise=plain_summary, rulebook_stamp="one")
    for number in range(3):
        first.cases.create(a_case(reference=f"R-{number}"), SIGNED)
    before = first.cases.summaries()
    first.close()
    second = open_stores(cases_url, "memory://", summarise=stricter, rulebook_stamp="two")
    after = second.cases.summaries()
    second.close()
    assert [summary.hv_flag for summary in before] == [HvFlag.NONE] * 3
    assert [summary.hv_flag for summary in after] == [HvFlag.AT_HV] * 3
    assert [summary.risk for summary in after] == [Risk.SERIOUS] * 3
    assert [summary.changed_at for summary in after] == [NOON] * 3


def test_the_same_rule_book_asks_no_rules(cases_url: str) -> None:
    first = open_stores(cases_url, "memory://", summarise=plain_summary, rulebook_stamp="one")
    first.cases.create(a_case(a_finding()), SIGNED)
    first.close()
    second = open_stores(cases_url, "memory://", summarise=never, rulebook_stamp="one")
    assert second.cases.summaries()[0].risk is Risk.HIGH
    second.close()


def test_one_unreadable_case_does_not_keep_the_shop_closed(
    cases_url: str, cases_file: Path
) -> None:
    first = open_stores(cases_url, "memory://", summarise=plain_summary, rulebook_stamp="one")
    for reference in ("R-1", "R-2"):
        first.cases.create(a_case(reference=reference), SIGNED)
    first.close()
    with closing(sqlite3.connect(cases_file)) as connection:
        connection.execute("UPDATE cases SET body = '{' WHERE reference = 'R-1'")
        connection.commit()
    second = open_stores(cases_url, "memory://", summarise=stricter, rulebook_stamp="two")
    flags = {summary.reference: summary.hv_flag for summary in second.cases.summaries()}
    second.close()
    assert flags == {"R-1": HvFlag.NONE, "R-2": HvFlag.AT_HV}
