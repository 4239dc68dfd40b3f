"""Evidence under an overlay: a shop can hold it back, never make it answer more."""

from dataclasses import replace
from pathlib import Path

import pytest

from rules import (
    Assessment,
    CaseFacts,
    Disposition,
    Evidence,
    EvidenceKind,
    Likelihood,
    OpenTestId,
    Powertrain,
    Rulebook,
    TestOutcome,
    VehicleFacts,
    assess,
)
from rules.proofs.overlay_grid import Grid, grid
from tests.unit.rules.book import NO_SIGNS, a_finding, the_book
from tests.unit.rules.shop import HEADER, a_rule, loaded, refusal

SECOND_LOOK = """
[[open_test]]
id = "shop_second_look"
text = "Second look by another technician."
by = "another technician"
"""
ASKED = SECOND_LOOK + a_rule('group = ["hv_conductor"]', 'tests = ["shop_second_look"]')


def held_back(change: str) -> str:
    return f'[[stricter_evidence]]\nof = "EVD-020"\n{change}\nbecause = "One look is not enough."\n'


def met(*tests: str, finding_id: str | None = "1") -> tuple[Evidence, ...]:
    return tuple(
        Evidence(
            id=f"{finding_id} {test}",
            kind=EvidenceKind.TEST_RESULT,
            finding_id=finding_id,
            test=OpenTestId(test),
            outcome=TestOutcome.MET,
            has_criterion=True,
        )
        for test in tests
    )


def judged(book: Rulebook, evidence: tuple[Evidence, ...]) -> Assessment:
    """Return a cable with dirt on it, to which EVD-020 speaks."""
    vehicle = VehicleFacts(system_voltage_v=400.0, signs=NO_SIGNS)
    finding = a_finding("hv_cable", "contamination")
    return assess(
        CaseFacts(vehicle=vehicle, findings=(finding,), evidence=evidence), book
    ).findings[0]


def likelihood_left(book: Rulebook, *tests: str) -> Likelihood:
    residual = judged(book, met(*tests)).residual
    assert residual is not None
    return residual.likelihood


GOOD_TESTS = ("isolation_resistance", "hv_circuit", "maker_criterion")


def test_a_further_test_has_to_be_met_before_the_row_counts(tmp_path: Path) -> None:
    rows = ASKED + held_back('also_met = ["shop_second_look"]')
    book = loaded(tmp_path, HEADER + rows)

    def counts(book: Rulebook, *tests: str) -> bool:
        residual = judged(book, met(*tests)).residual
        assert residual is not None
        return "EVD-020" in {reason.rule_id for reason in residual.reasons}

    assert counts(the_book(), *GOOD_TESTS)
    assert not counts(book, *GOOD_TESTS)
    assert counts(book, *GOOD_TESTS, "shop_second_look")
    [why] = [
        reason
        for reason in judged(book, met(*GOOD_TESTS, "shop_second_look")).residual.reasons  # type: ignore[union-attr]  # met
        if reason.rule_id == "EVD-020"
    ]
    assert why.because.endswith("The shop asks for more: One look is not enough.")


def test_a_shops_rule_is_answered_by_no_test(tmp_path: Path) -> None:
    rows = SECOND_LOOK + a_rule(
        'group = ["hv_conductor"], family = ["surface"]',
        'likelihood = "C", tests = ["shop_second_look"]',
    )
    book = loaded(tmp_path, HEADER + rows)
    assert likelihood_left(the_book(), *GOOD_TESTS) is Likelihood.D
    assert likelihood_left(book, *GOOD_TESTS, "shop_second_look") is Likelihood.C


def test_a_worse_remaining_repair_counts(tmp_path: Path) -> None:
    book = loaded(tmp_path, HEADER + held_back('then = { disposition = "repair" }'))
    ours, shops = (judged(one, met(*GOOD_TESTS)).residual for one in (the_book(), book))
    assert ours is not None
    assert shops is not None
    assert ours.disposition < Disposition.REPAIR <= shops.disposition


REFUSED = {
    "less that remains": (
        held_back('then = { likelihood = "E" }'),
        ["EVD-020, then, likelihood", "leaves no more"],
    ),
    "the same that remains": (
        held_back('then = { disposition = "monitor" }'),
        ["EVD-020, then, disposition", "leaves no more"],
    ),
    "nothing stricter": (held_back(""), ["EVD-020, of", "nothing in this row is stricter"]),
    "a test that it has": (
        held_back('also_met = ["hv_circuit"]'),
        ["EVD-020, also_met", "already"],
    ),
    "no such test": (held_back('also_met = ["tea"]'), ["EVD-020, also_met", "'tea'"]),
    "fewer tests": (held_back("met = []"), ["EVD-020, met", "is not a field"]),
    "more answers": (
        held_back('answers = ["LIK-030"]\nalso_met = ["cell_data"]'),
        ["EVD-020, answers", "is not a field"],
    ),
    "no such row": (held_back("").replace("EVD-020", "EVD-999"), ["EVD-999, of"]),
    "a row that raises": (
        held_back("").replace("EVD-020", "EVD-001"),
        ["EVD-001, of", "only raises"],
    ),
    "a row of its own": ('[[evidence]]\nid = "SHOP-001"\n', ["shop.toml, evidence"]),
    "a test that nobody asks for": (
        held_back('also_met = ["wheel_alignment"]'),
        ["EVD-020: needs wheel_alignment, which no rule asks for"],
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_evidence_that_would_answer_more_is_refused(name: str, tmp_path: Path) -> None:
    rows, parts = REFUSED[name]
    said = refusal(tmp_path, HEADER + rows)
    assert [part for part in parts if part not in said] == [], said


def test_a_test_that_only_the_shop_asks_for_lets_no_result_of_the_whole_car_answer_more(
    tmp_path: Path,
) -> None:
    """Where ours does not ask for a test, a result for the whole car does not touch the finding."""
    tests = sorted(the_book().open_tests)
    everything = a_rule("", f"tests = {tests!r}".replace("'", '"'))
    both, ours = loaded(tmp_path, HEADER + everything), the_book()
    of_car = met(*tests, finding_id=None)
    situations = grid(ours, both)
    compared = 0
    for number, pair in enumerate(ours.pairs):
        # A different dozen for each pair, so that all situations come up many times.
        for place in range(number % 71, len(situations.situations), 71):
            case = _case(situations, place, pair, of_car)
            before, after = assess(case, ours).findings[0], assess(case, both).findings[0]
            low, high = before.residual or before, after.residual or after
            assert high.likelihood <= low.likelihood, (pair, situations.situations[place].name)
            assert high.disposition >= low.disposition, (pair, situations.situations[place].name)
            compared += 1
    assert compared > 10_000


def _case(
    situations: Grid, place: int, pair: tuple[str, str], evidence: tuple[Evidence, ...]
) -> CaseFacts:
    seen = situations.seen_before[place]
    setting = situations.situations[place].setting
    finding = replace(seen.facts, finding_id="1", component=pair[0], damage=pair[1])  # type: ignore[arg-type]  # ids
    vehicle = VehicleFacts(
        system_voltage_v=seen.given_voltage_v,
        powertrain=Powertrain(str(setting.get("powertrain", Powertrain.UNKNOWN))),
        signs=NO_SIGNS,
    )
    return CaseFacts(vehicle=vehicle, findings=(finding,), evidence=evidence)
