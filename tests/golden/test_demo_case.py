"""The demo case: its marks sit on the damage that the scene has, and its triage is as expected.

Outside check: the truth files beside the demo photos, which the renderer wrote (masks of each
damage in upright pixels).
"""

import json
from pathlib import Path

import pytest

from rules import CaseAssessment, Disposition, HvFlag, Risk, RuleId
from tests.builders import SENIOR
from tests.unit.services.shop import a_shop
from triage_app.domain.case import Case
from triage_app.domain.evidence_standing import Standing, standing_of
from triage_app.domain.geometry import contains, rings_px
from triage_app.domain.safing.voids import VoidCause
from triage_app.services.case_script import load_case_file

FOLDER = Path(__file__).parents[2] / "demo_photos"

DAMAGE_IN_SCENE = {
    1: ("hv_cable_cut_battery_side", "hv_cable_cut_drive_unit_side"),
    2: ("enclosure_burn_mark",),
    3: ("skid_plate_dent_and_tear",),
    4: ("drive_unit_mount_crack",),
    5: ("cross_member_bend",),
    6: ("fan_shroud_crack",),
    7: ("coolant_leak",),
    8: ("battery_floor_scrape",),
    9: ("under_shield_broken_corner",),
    10: ("corroded_bolts_cross_member_right",),
}
WITHOUT_A_MARK = {11, 12}


@pytest.fixture(scope="module")
def case_and_answer() -> tuple[Case, CaseAssessment]:
    shop = a_shop()
    text = (FOLDER / "case.toml").read_text(encoding="utf-8")
    load_case_file(shop, FOLDER, text, by=SENIOR)
    case = shop.cases.get(shop.cases.id_of("DEMO-0001"))
    return case, shop.triage.assess_case(case)


def test_every_finding_of_the_demo_is_accounted_for(
    case_and_answer: tuple[Case, CaseAssessment],
) -> None:
    case, _ = case_and_answer
    assert {f.number for f in case.findings if f.marks} == set(DAMAGE_IN_SCENE)
    assert {f.number for f in case.findings if not f.marks} == WITHOUT_A_MARK


def test_every_mark_covers_the_damage_that_it_says(
    case_and_answer: tuple[Case, CaseAssessment],
) -> None:
    """At least half of the damage's outline points lie inside a mark, on each marked photo."""
    case, _ = case_and_answer
    for finding in case.findings:
        for photo_id in {mark.photo_id for mark in finding.marks}:
            photo = case.photo(photo_id)
            truth = json.loads(
                (FOLDER / "truth" / f"{Path(photo.file_name).stem}.json").read_text()
            )
            damages = [truth["damages"].get(k) for k in DAMAGE_IN_SCENE[finding.number]]
            points = [p for d in damages if d for ring in d["polygons_px"] for p in ring]
            rings = [
                ring
                for mark in finding.marks
                if mark.photo_id == photo_id
                for ring in rings_px(mark.outline, photo.width_px, photo.height_px)
            ]
            inside = sum(any(contains([ring], x, y) for ring in rings) for x, y in points)
            assert points, (finding.number, photo.file_name)
            assert inside >= len(points) / 2, (finding.number, photo.file_name, inside, len(points))


@pytest.mark.parametrize(
    ("number", "risk", "hv_flag", "disposition"),
    [
        pytest.param(1, Risk.HIGH, HvFlag.AT_HV, Disposition.REPLACE, id="cut HV cable"),
        pytest.param(
            2, Risk.HIGH, HvFlag.AT_HV, Disposition.TEST_FIRST, id="arc mark on enclosure"
        ),
        pytest.param(3, Risk.HIGH, HvFlag.AT_HV, Disposition.REPLACE, id="torn skid plate"),
        pytest.param(4, Risk.SERIOUS, HvFlag.WITHIN_REACH, Disposition.REPLACE, id="mount bracket"),
        pytest.param(
            5, Risk.SERIOUS, HvFlag.WITHIN_REACH, Disposition.TEST_FIRST, id="bent cross-member"
        ),
        pytest.param(6, Risk.LOW, HvFlag.WITHIN_REACH, Disposition.REPLACE, id="fan shroud"),
        pytest.param(7, Risk.SERIOUS, HvFlag.AT_HV, Disposition.TEST_FIRST, id="coolant leak"),
        pytest.param(8, Risk.MEDIUM, HvFlag.AT_HV, Disposition.MONITOR, id="battery floor scrape"),
        pytest.param(9, Risk.MEDIUM, HvFlag.AT_HV, Disposition.REPLACE, id="under-shield"),
        pytest.param(10, Risk.MEDIUM, HvFlag.WITHIN_REACH, Disposition.REPLACE, id="rusty bolts"),
    ],
)
def test_the_demo_is_triaged_as_a_careful_technician_would(
    case_and_answer: tuple[Case, CaseAssessment],
    number: int,
    risk: Risk,
    hv_flag: HvFlag,
    disposition: Disposition,
) -> None:
    """Judgement, agreed in the team; the cut cable hangs free, so everything is within reach."""
    case, answer = case_and_answer
    finding = next(f for f in case.findings if f.number == number)
    found = answer.of(finding.id)
    assert (found.risk, found.hv_flag, found.disposition) == (risk, hv_flag, disposition)


def test_the_broken_shield_is_at_hv_because_coolant_runs_along_it(
    case_and_answer: tuple[Case, CaseAssessment],
) -> None:
    """By its distance alone it is within reach; the leaking radiator is what raises it."""
    case, answer = case_and_answer
    shield = next(finding for finding in case.findings if finding.number == 9)
    radiator = next(finding for finding in case.findings if finding.number == 7)
    why = {reason.rule_id: reason for reason in answer.of(shield.id).hv_reasons}
    assert why[RuleId("CMB-010")].with_findings == (radiator.id,)


def test_every_flagged_finding_of_the_demo_carries_reasons_and_safing(
    case_and_answer: tuple[Case, CaseAssessment],
) -> None:
    _, answer = case_and_answer
    for finding in answer.findings:
        assert finding.hv_flag is not HvFlag.NONE
        assert finding.hv_reasons
        assert any(action.is_safing for action in finding.actions)


def test_the_records_of_the_demo_show_one_that_counts_and_one_that_waits(
    case_and_answer: tuple[Case, CaseAssessment],
) -> None:
    """A good test of the battery was accepted; a bad measurement of the cross-member waits.

    So does the isolation of one island, measured for the make-safe record and below the reference.
    """
    case, answer = case_and_answer
    waits, counts, isolation = case.evidence
    assert standing_of(case, isolation) is Standing.WAITING
    assert isolation.entry.note.startswith("Island: finding 1, HV cable: end away from the battery")
    assert (standing_of(case, waits), standing_of(case, counts)) == (
        Standing.WAITING,
        Standing.COUNTS,
    )
    by_number = {finding.number: answer.of(finding.id) for finding in case.findings}
    tested = by_number[8].residual
    assert tested is not None
    outstanding = {test.id for test in by_number[8].open_tests}
    assert outstanding - {test.id for test in tested.open_tests} == {"isolation_resistance"}
    assert by_number[5].residual is None
    assert answer.residual_risk is answer.risk is Risk.HIGH


def test_the_make_safe_record_of_the_demo_was_whole_and_is_void() -> None:
    """Every point was read twice; then somebody connected the 12 V supply again."""
    shop = a_shop()
    text = (FOLDER / "case.toml").read_text(encoding="utf-8")
    case = load_case_file(shop, FOLDER, text, by=SENIOR).case
    status = shop.safing.status(case)
    assert [void.cause for void in status.voids] == [VoidCause.LOW_VOLTAGE_RECONNECTED]
    assert status.left_out == ()
    assert all(read.first and read.second for read in status.points)
    measured = [one for one in shop.safing.isolation(case) if one.measured]
    assert [one.said for one in measured] == ["below the reference"]
    assert {read.point.name for read in status.points} >= {
        "finding 1, HV cable: end towards the battery",
        "finding 1, HV cable: end away from the battery",
    }
    assert status.recorders == ("Ines Marlo (invented)",)
    assert shop.safing.watch(case).signs == ()
