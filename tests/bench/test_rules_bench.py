"""How fast the rules are, printed: run with ``pytest -m bench -s tests/bench``."""

import random
import time
from collections.abc import Sequence
from itertools import zip_longest

import pytest

from rules import (
    CaseFacts,
    Evidence,
    EvidenceKind,
    Facts,
    Rulebook,
    TestOutcome,
    VehicleFacts,
    assess,
    load_rulebook,
)

FINDINGS = 10_000
IN_ONE_CASE = 500
IN_A_CASE = 20


def some_findings(book: Rulebook, count: int) -> list[Facts]:
    """Return findings spread over the whole book; sizes and distances known half of the time."""
    chance = random.Random(305)  # noqa: S311  # the same every time, nothing secret
    components, damages = list(book.components), list(book.damage_types)
    zones = [None, *book.zones]
    return [
        Facts(
            finding_id=str(number),
            component=chance.choice(components),
            damage=chance.choice(damages),
            zone=chance.choice(zones),
            depth_mm=chance.choice([None, 0.1, 5.0]),
            length_mm=chance.choice([None, 50.0]),
            distance_to_hv_mm=chance.choice([None, 100.0, 500.0, 2000.0]),
            distance_uncertainty_mm=chance.choice([None, 20.0]),
            covers_off=chance.choice([None, True, False]),
            hv_conductor_visible=chance.choice([None, True, False]),
            hangs_free=chance.choice([None, True, False]),
        )
        for number in range(count)
    ]


def some_evidence(book: Rulebook, findings: Sequence[Facts]) -> tuple[Evidence, ...]:
    """Return five results for each finding, and every second part replaced."""
    chance = random.Random(882)  # noqa: S311  # the same every time, nothing secret
    tests = list(book.open_tests)
    made = [
        Evidence(
            id=f"{one.finding_id} {test}",
            kind=EvidenceKind.TEST_RESULT,
            finding_id=one.finding_id,
            test=test,
            outcome=chance.choice(list(TestOutcome)),
            has_criterion=True,
        )
        for one in findings
        for test in chance.sample(tests, 5)
    ]
    kind = EvidenceKind.PART_REPLACED
    made += [
        Evidence(id=f"{one.finding_id} replaced", kind=kind, finding_id=one.finding_id)
        for one in findings[::2]
    ]
    return tuple(made)


def seconds(
    book: Rulebook, cases: Sequence[Sequence[Facts]], evidence: Sequence[tuple[Evidence, ...]] = ()
) -> tuple[float, int]:
    """Return processor time of one core, best of three, and the number of reasons written."""
    vehicle = VehicleFacts(system_voltage_v=400.0, signs=dict.fromkeys(book.signs, False))
    best, reasons = float("inf"), 0
    for _ in range(3):
        start = time.process_time()
        assessed = [
            assess(CaseFacts(vehicle=vehicle, findings=tuple(one), evidence=records), book)
            for one, records in zip_longest(cases, evidence, fillvalue=())
        ]
        best = min(best, time.process_time() - start)
        reasons = sum(len(found.reasons) for case in assessed for found in case.findings)
    return best, reasons


@pytest.mark.bench
def test_print_how_fast_findings_are_triaged_with_the_trace_on() -> None:
    start = time.process_time()
    book = load_rulebook()
    print(f"\nload the book: {1000 * (time.process_time() - start):.0f} ms")
    findings = some_findings(book, FINDINGS)
    cases = [findings[at : at + IN_A_CASE] for at in range(0, FINDINGS, IN_A_CASE)]
    taken, reasons = seconds(book, cases)
    print(
        f"{FINDINGS} findings in cases of {IN_A_CASE}: {taken:.2f} s, "
        f"{FINDINGS / taken:,.0f} findings/s, {reasons} reasons"
    )
    taken, reasons = seconds(book, [[one] for one in findings])
    print(f"{FINDINGS} findings one by one: {taken:.2f} s, {FINDINGS / taken:,.0f} findings/s")
    taken, reasons = seconds(book, [findings[:IN_ONE_CASE]])
    print(f"one case of {IN_ONE_CASE} findings: {1000 * taken:.0f} ms, {reasons} reasons")
    assert reasons >= IN_ONE_CASE
    taken, _ = seconds(book, cases, [some_evidence(book, one) for one in cases])
    print(f"{FINDINGS} findings with five records each: {taken:.2f} s")
    one_case = findings[:IN_ONE_CASE]
    taken, _ = seconds(book, [one_case], [some_evidence(book, one_case)])
    print(f"one case of {IN_ONE_CASE} findings with five records each: {1000 * taken:.0f} ms")
