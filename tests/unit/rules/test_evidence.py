"""What accepted records leave of a finding: a second answer, never a changed first one.

Level F only for a hazard that is no longer present: MIL-STD-882E table II (read in a copy). The
other levels and situations are judgement, as the book says.
"""

from dataclasses import replace

import pytest

from rules import (
    Assessment,
    CaseAssessment,
    CaseFacts,
    Disposition,
    Evidence,
    EvidenceKind,
    Facts,
    FactsError,
    HvFlag,
    Likelihood,
    OpenTestId,
    Residual,
    Risk,
    TestOutcome,
    assess,
)
from tests.unit.rules.book import a_car, a_finding, the_book

ISOLATION, CIRCUIT = "isolation_resistance", "hv_circuit"
CRITERION = "maker_criterion"
SCRAPED_CABLE = a_finding("hv_cable", "scrape", hv_conductor_visible=False)
CUT_CABLE = a_finding("hv_cable", "severed", hv_conductor_visible=False)
BATTERY_TESTS = (
    "maker_criterion",
    ISOLATION,
    "cell_data",
    "enclosure_seal",
    "enclosure_inside",
    "battery_cooling_hold",
)


def a_test(
    test: str,
    outcome: TestOutcome = TestOutcome.MET,
    *,
    finding: str | None = "1",
    has_criterion: bool = True,
) -> Evidence:
    return Evidence(
        id=f"{finding} {test} {outcome}",
        kind=EvidenceKind.TEST_RESULT,
        finding_id=finding,
        test=OpenTestId(test),
        outcome=outcome,
        has_criterion=has_criterion,
    )


def met(*tests: str, finding: str | None = "1") -> tuple[Evidence, ...]:
    return tuple(a_test(test, finding=finding) for test in tests)


def replaced(finding: str = "1") -> Evidence:
    return Evidence(id=f"{finding} part", kind=EvidenceKind.PART_REPLACED, finding_id=finding)


def maker_says(what: Disposition) -> Evidence:
    kind = EvidenceKind.MAKER_INSTRUCTION
    return Evidence(id="maker", kind=kind, finding_id="1", instruction=what)


def case_with(evidence: tuple[Evidence, ...], *findings: Facts) -> CaseAssessment:
    return assess(CaseFacts(vehicle=a_car(), findings=findings, evidence=evidence), the_book())


def left(finding: Facts, *evidence: Evidence) -> Residual:
    """Return what the records leave of one finding alone."""
    residual = case_with(evidence, finding).findings[0].residual
    assert residual is not None
    return residual


def without_residual(found: Assessment) -> Assessment:
    return replace(found, residual=None)


def open_ids(residual: Residual) -> set[str]:
    return {test.id for test in residual.open_tests}


def test_without_records_there_is_no_second_answer() -> None:
    case = case_with((), CUT_CABLE)
    assert case.findings[0].residual is None
    assert case.residual_risk is None
    assert case.residual_open_tests == ()


def test_the_first_answer_is_the_same_with_any_record() -> None:
    before = case_with((), CUT_CABLE).findings[0]
    for evidence in (met(ISOLATION, CIRCUIT), (replaced(), *met(ISOLATION, CIRCUIT))):
        after = case_with(evidence, CUT_CABLE).findings[0]
        assert without_residual(after) == before


def test_tests_that_met_their_criterion_answer_the_rules_of_their_row() -> None:
    residual = left(SCRAPED_CABLE, *met(ISOLATION, CIRCUIT, CRITERION))
    assert (residual.likelihood, residual.risk) == (Likelihood.D, Risk.SERIOUS)
    assert residual.disposition is Disposition.CLEAN_AND_PROTECT
    assert [reason.rule_id for reason in residual.reasons] == ["EVD-020"]
    assert residual.decided_by == ("EVD-020", "LIK-010")
    assert residual.repair_decided_by == ("EVD-020",)
    assert residual.open_tests == ()


def test_some_of_the_tests_answer_nothing() -> None:
    # A dry cut in the sheath passes an isolation test: the maker's criterion has to be met too.
    residual = left(SCRAPED_CABLE, *met(ISOLATION, CIRCUIT))
    assert (residual.likelihood, residual.disposition) == (Likelihood.C, Disposition.TEST_FIRST)
    assert residual.reasons == ()
    assert open_ids(residual) == {CRITERION}


def test_a_criterion_that_nobody_typed_in_is_outstanding_and_its_result_inconclusive() -> None:
    bare = a_test(CIRCUIT, has_criterion=False)
    residual = left(SCRAPED_CABLE, *met(ISOLATION, CRITERION), bare)
    assert residual.likelihood is Likelihood.C
    assert open_ids(residual) == {CIRCUIT, "maker_criterion"}


def test_the_worst_of_several_results_for_one_test_counts() -> None:
    mixed = (*met(ISOLATION, CIRCUIT, CRITERION), a_test(CIRCUIT, TestOutcome.INCONCLUSIVE))
    assert left(SCRAPED_CABLE, *mixed).likelihood is Likelihood.C
    failed = (*mixed, a_test(CIRCUIT, TestOutcome.NOT_MET))
    assert left(SCRAPED_CABLE, *failed).likelihood is Likelihood.A


@pytest.mark.parametrize(
    ("test", "disposition"),
    [(CIRCUIT, Disposition.REPLACE), (ISOLATION, Disposition.TEST_FIRST)],
    ids=["the part failed", "something failed"],
)
def test_a_criterion_not_met_raises(test: str, disposition: Disposition) -> None:
    residual = left(SCRAPED_CABLE, a_test(test, TestOutcome.NOT_MET))
    assert (residual.likelihood, residual.risk) == (Likelihood.A, Risk.HIGH)
    assert residual.disposition is disposition
    assert test in open_ids(residual)


def test_no_test_answers_a_cut_cable() -> None:
    every = met(*the_book().open_tests)
    residual = left(CUT_CABLE, *every)
    assert (residual.likelihood, residual.disposition) == (Likelihood.A, Disposition.REPLACE)


def test_a_replaced_part_whose_follow_up_tests_are_met_is_eliminated() -> None:
    residual = left(CUT_CABLE, replaced(), *met(ISOLATION, CIRCUIT))
    assert (residual.likelihood, residual.risk) == (Likelihood.F, Risk.ELIMINATED)
    assert residual.disposition is Disposition.MONITOR
    assert residual.open_tests == ()


def test_a_replaced_hv_part_keeps_its_flag_and_its_safing() -> None:
    found = case_with((replaced(), *met(ISOLATION, CIRCUIT)), CUT_CABLE).findings[0]
    assert found.hv_flag is HvFlag.AT_HV
    assert the_book().safing_actions[HvFlag.AT_HV] <= {action.id for action in found.actions}


def test_a_replaced_part_without_its_follow_up_tests_eliminates_nothing_and_lists_them() -> None:
    unit = a_finding("rear_drive_unit", "crack", hv_conductor_visible=False)
    residual = left(unit, replaced(), *met(ISOLATION))
    assert residual.likelihood is Likelihood.B
    assert "bonding_resistance" in open_ids(residual)


def test_a_test_that_the_old_part_failed_goes_with_it() -> None:
    dent = a_finding("battery_enclosure", "dent", depth_mm=6.0, hv_conductor_visible=False)
    exceeds = a_test("maker_criterion", TestOutcome.NOT_MET)
    assert left(dent, exceeds).disposition is Disposition.REPLACE
    follow_ups = met(*(test for test in BATTERY_TESTS if test != "maker_criterion"))
    assert left(dent, exceeds, replaced(), *follow_ups).likelihood is Likelihood.F


def test_a_follow_up_test_that_fails_keeps_the_new_part_from_being_called_good() -> None:
    failed = a_test(CIRCUIT, TestOutcome.NOT_MET)
    residual = left(CUT_CABLE, replaced(), *met(ISOLATION), failed)
    assert (residual.likelihood, residual.disposition) == (Likelihood.A, Disposition.REPLACE)


def test_a_makers_replace_is_not_outvoted_by_any_test() -> None:
    residual = left(
        SCRAPED_CABLE, *met(ISOLATION, CIRCUIT, CRITERION), maker_says(Disposition.REPLACE)
    )
    assert (residual.likelihood, residual.disposition) == (Likelihood.C, Disposition.REPLACE)
    assert residual.repair_decided_by == ("EVD-004",)


def test_a_makers_replace_is_done_once_the_part_is_replaced() -> None:
    done = (replaced(), maker_says(Disposition.REPLACE), *met(ISOLATION, CIRCUIT))
    assert left(SCRAPED_CABLE, *done).disposition is Disposition.MONITOR


@pytest.mark.parametrize("less", [Disposition.MONITOR, Disposition.CLEAN_AND_PROTECT])
def test_a_maker_who_asks_for_less_lowers_nothing(less: Disposition) -> None:
    residual = left(SCRAPED_CABLE, maker_says(less))
    assert (residual.likelihood, residual.disposition) == (Likelihood.C, Disposition.TEST_FIRST)


def test_a_result_for_the_whole_car_counts_where_its_test_is_asked() -> None:
    wheel = a_finding("wheel", "scrape", finding_id="2", zone="rear_left", at=4000.0)
    case = case_with(
        (*met(CIRCUIT, CRITERION), *met(ISOLATION, finding=None)), SCRAPED_CABLE, wheel
    )
    assert case.of("1").residual is not None
    assert case.of("2").residual is None
    whole = case.of("1").residual
    assert whole is not None
    assert whole.likelihood is Likelihood.D


def test_a_result_for_the_whole_car_counts_for_a_new_part_that_asks_for_it() -> None:
    unit = a_finding("inverter", "scrape", hv_conductor_visible=False)
    new = (replaced(), *met("bonding_resistance"), *met(ISOLATION, finding=None))
    assert left(unit, *new).likelihood is Likelihood.F


def test_fluid_beside_a_new_hv_part_still_counts_until_it_is_dealt_with() -> None:
    cable = replace(CUT_CABLE, zone=a_finding(zone="battery_front").zone)
    leak = a_finding(
        "coolant_hose", "leak", finding_id="2", zone="battery_front", hv_conductor_visible=False
    )
    new_cable = (replaced(), *met(ISOLATION, CIRCUIT))
    alone = case_with(new_cable, cable, leak).of("1").residual
    assert alone is not None
    assert (alone.likelihood, alone.decided_by) == (Likelihood.B, ("CMB-003",))
    new_hose = (replaced("2"), *met("coolant_hold", ISOLATION, finding="2"))
    both = case_with((*new_cable, *new_hose), cable, leak)
    assert [one.residual.likelihood for one in both.findings if one.residual] == ["F", "F"]
    assert both.residual_risk is Risk.ELIMINATED


def test_what_is_untouched_counts_with_its_first_risk_in_the_case() -> None:
    other = a_finding("wheel", "crack", finding_id="2", zone="rear_left", at=4000.0)
    case = case_with((replaced(), *met(ISOLATION, CIRCUIT)), CUT_CABLE, other)
    assert case.of("2").residual is None
    assert case.residual_risk is case.of("2").risk
    asked = {test.id for test in case.of("2").open_tests}
    assert {test.id for test in case.residual_open_tests} == asked


def test_an_unidentified_part_is_answered_by_no_record() -> None:
    every = (replaced(), *met(*the_book().open_tests))
    residual = left(a_finding(), *every)
    assert (residual.likelihood, residual.risk) == (Likelihood.A, Risk.HIGH)
    assert "identify_part" in open_ids(residual)


def test_a_record_of_a_finding_that_is_not_there_touches_nothing() -> None:
    case = case_with(met(ISOLATION, finding="9"), SCRAPED_CABLE)
    assert case.findings[0].residual is None


def test_a_reason_of_evidence_says_what_was_on_record() -> None:
    reason = left(CUT_CABLE, replaced(), *met(ISOLATION, CIRCUIT)).reasons[-1]
    assert reason.rule_id == "EVD-120"
    assert reason.facts[0] == "the part was replaced"
    assert any("Isolation resistance" in fact for fact in reason.facts)
    assert reason.citations[0].clause == "Table II"


def test_a_test_that_the_book_does_not_know_answers_nothing_but_raises_when_not_met() -> None:
    residual = left(SCRAPED_CABLE, *met("taste"))
    assert (residual.likelihood, residual.disposition) == (Likelihood.C, Disposition.TEST_FIRST)
    failed = left(SCRAPED_CABLE, a_test("taste", TestOutcome.NOT_MET))
    assert failed.likelihood is Likelihood.A
    assert failed.reasons[0].facts == ("criterion not met: taste",)


@pytest.mark.parametrize(
    "fields",
    [
        {"kind": EvidenceKind.TEST_RESULT},
        {"kind": EvidenceKind.TEST_RESULT, "test": ISOLATION},
        {"kind": EvidenceKind.PART_REPLACED, "outcome": TestOutcome.MET},
        {"kind": EvidenceKind.PART_REPLACED, "test": ISOLATION},
        {"kind": EvidenceKind.PART_REPLACED, "instruction": Disposition.MONITOR},
        {"kind": EvidenceKind.MAKER_INSTRUCTION},
        {"kind": EvidenceKind.PART_REPLACED, "finding_id": None},
    ],
    ids=lambda fields: ", ".join(map(str, fields)),
)
def test_a_record_that_says_nothing_or_two_things_is_refused(fields: dict[str, object]) -> None:
    with pytest.raises(FactsError, match="Record 'R1'"):
        Evidence(**{"id": "R1", "finding_id": "1", **fields})  # type: ignore[arg-type]  # by name


def test_two_records_of_one_id_are_refused() -> None:
    with pytest.raises(FactsError, match="same id"):
        case_with((replaced(), replaced()), CUT_CABLE)


@pytest.mark.parametrize(
    "finding",
    [
        pytest.param(a_finding("battery_enclosure", "scrape"), id="an HV part"),
        pytest.param(a_finding("tyre", "gouge"), id="a part of no HV"),
    ],
)
def test_a_failed_test_of_the_whole_car_is_never_lost(finding: Facts) -> None:
    # Neither asks for the isolation test; judgement: a failure that nobody placed is the worst.
    failed = a_test(ISOLATION, TestOutcome.NOT_MET, finding=None)
    case = assess(CaseFacts(vehicle=a_car(), findings=(finding,), evidence=(failed,)), the_book())
    assert ISOLATION not in {test.id for test in case.open_tests}
    assert case.residual_risk is the_book().risk_matrix[case.findings[0].consequence, Likelihood.A]
    assert ISOLATION in {test.id for test in case.residual_open_tests}
    assert case.failed_on_car == (the_book().open_tests[OpenTestId(ISOLATION)].text,)


def test_a_failed_test_of_the_car_counts_before_anything_was_found() -> None:
    failed = a_test(ISOLATION, TestOutcome.NOT_MET, finding=None)
    case = assess(CaseFacts(vehicle=a_car(), findings=(), evidence=(failed,)), the_book())
    assert case.residual_risk is Risk.HIGH
