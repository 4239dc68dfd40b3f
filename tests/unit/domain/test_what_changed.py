"""Two answers side by side: everything that differs is listed, and nothing that does not."""

from dataclasses import replace

import pytest

from rules import (
    CaseFacts,
    ComponentId,
    Consequence,
    DamageId,
    Disposition,
    Evidence,
    EvidenceKind,
    Facts,
    HvFlag,
    Likelihood,
    Risk,
    SignalWord,
    TestOutcome,
    VehicleFacts,
    assess,
    load_rulebook,
)
from triage_app.domain.what_changed import (
    Changes,
    Item,
    Level,
    LevelChange,
    LevelName,
    ListChange,
    ListName,
    changes_between,
)

BOOK = load_rulebook()
CABLE = Facts(
    finding_id="1", component=ComponentId("hv_cable"), damage=DamageId("severed"), hangs_free=False
)
SHROUD = Facts(
    finding_id="2",
    component=ComponentId("fan_shroud"),
    damage=DamageId("scrape"),
    distance_to_hv_mm=2_000,
    distance_uncertainty_mm=10,
    covers_off=True,
)
QUIET = VehicleFacts(system_voltage_v=400, signs=dict.fromkeys(BOOK.signs, False))
FACTS = CaseFacts(vehicle=QUIET, findings=(CABLE, SHROUD))


def compared(after: CaseFacts, before: CaseFacts = FACTS) -> dict[str | None, Changes]:
    found = changes_between(assess(before, BOOK), assess(after, BOOK))
    return {one.finding_id: one for one in found}


def levels(changes: Changes) -> dict[LevelName, LevelChange]:
    return {one.what: one for one in changes.levels}


def lists(changes: Changes) -> dict[ListName, ListChange]:
    return {one.what: one for one in changes.lists}


def test_where_nothing_is_different_nothing_is_listed() -> None:
    assert compared(FACTS) == {}


def test_only_what_changed_is_listed_and_a_finding_that_did_not_is_left_out() -> None:
    scraped = replace(CABLE, damage=DamageId("scrape"))
    changed = compared(CaseFacts(vehicle=QUIET, findings=(scraped, SHROUD)))
    assert "1" in changed
    one = levels(changed["1"])
    before, after = (
        assess(CaseFacts(vehicle=QUIET, findings=(cable, SHROUD)), BOOK).of("1")
        for cable in (CABLE, scraped)
    )
    assert one[LevelName.LIKELIHOOD].before is before.likelihood
    assert one[LevelName.LIKELIHOOD].after is after.likelihood
    assert LevelName.HV_FLAG not in one
    rules = lists(changed["1"])[ListName.RULES]
    assert {item.id for item in rules.added} == _rules(after) - _rules(before)
    assert {item.id for item in rules.dropped} == _rules(before) - _rules(after)
    assert rules.dropped


def _rules(answer: object) -> set[str]:
    return {reason.rule_id for reason in answer.reasons}  # type: ignore[attr-defined]


def test_a_sign_changes_the_case_and_its_stop_conditions() -> None:
    smoke = replace(QUIET, signs={**QUIET.signs, "smoke": True})
    case = compared(replace(FACTS, vehicle=smoke))[None]
    stops = lists(case)[ListName.STOP_CONDITIONS]
    assert stops.added
    assert not stops.dropped
    before, after = (
        assess(replace(FACTS, vehicle=vehicle), BOOK).quarantine.level for vehicle in (QUIET, smoke)
    )
    quarantine = levels(case)[LevelName.QUARANTINE]
    assert (quarantine.before, quarantine.after) == (before, after)
    assert quarantine.is_worse


def test_a_record_brings_a_residual_and_leaves_the_first_answer() -> None:
    record = Evidence(id="E", kind=EvidenceKind.PART_REPLACED, finding_id="1")
    changed = compared(replace(FACTS, evidence=(record,)))
    assert {LevelName.RESIDUAL_RISK, LevelName.RESIDUAL_LIKELIHOOD} <= set(levels(changed["1"]))
    assert not {LevelName.RISK, LevelName.HV_FLAG} & set(levels(changed["1"]))
    assert levels(changed["1"])[LevelName.RESIDUAL_RISK].before is None
    assert LevelName.RESIDUAL_RISK in levels(changed[None])


def test_outstanding_tests_are_listed_twice_only_where_records_make_a_difference() -> None:
    shield = replace(CABLE, component=ComponentId("skid_plate"))
    alone = compared(replace(FACTS, findings=(shield, SHROUD)))["1"]
    assert ListName.OPEN_TESTS in lists(alone)
    assert ListName.RESIDUAL_TESTS not in lists(alone)
    answered = assess(FACTS, BOOK).of("1").open_tests[0]
    record = Evidence(
        id="E",
        kind=EvidenceKind.TEST_RESULT,
        finding_id="1",
        test=answered.id,
        outcome=TestOutcome.MET,
        has_criterion=True,
    )
    tested = compared(replace(FACTS, evidence=(record,)))["1"]
    gone = lists(tested)[ListName.RESIDUAL_TESTS].dropped
    assert [item.id for item in gone] == [answered.id]
    assert ListName.OPEN_TESTS not in lists(tested)


def test_records_that_no_longer_count_are_listed() -> None:
    answer = assess(FACTS, BOOK)
    gone = Item(id="E1", text="Record 1")
    (case,) = changes_between(answer, answer, records_before=[gone])
    assert case.lists == (ListChange(what=ListName.RECORDS, added=(), dropped=(gone,)),)


@pytest.mark.parametrize(
    ("before", "after", "worse"),
    [
        (Risk.LOW, Risk.HIGH, True),
        (Risk.HIGH, Risk.LOW, False),
        (Consequence.MARGINAL, Consequence.CATASTROPHIC, True),
        (Consequence.CRITICAL, Consequence.NEGLIGIBLE, False),
        (Likelihood.D, Likelihood.A, True),
        (Likelihood.A, Likelihood.F, False),
        (HvFlag.WITHIN_REACH, HvFlag.AT_HV, True),
        (SignalWord.DANGER, SignalWord.NOTICE, False),
        (Disposition.MONITOR, Disposition.REPLACE, None),
        (None, Risk.LOW, None),
        (Risk.LOW, None, None),
    ],
)
def test_worse_is_told_for_every_kind_of_level(
    before: Level | None, after: Level | None, *, worse: bool | None
) -> None:
    assert LevelChange(what=LevelName.RISK, before=before, after=after).is_worse is worse
