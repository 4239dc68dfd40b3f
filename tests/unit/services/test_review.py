"""Review: who may sign what, what is refused and why, and that nothing signed changes unseen."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from rules import HvFlag, Powertrain, Risk, TestOutcome
from tests.builders import ESTIMATOR, NOON, SENIOR, a_jpeg, a_test, some_tags
from tests.unit.services.shop import TestClock, a_shop
from triage_app.domain.case import Case, Measures, Tags
from triage_app.domain.errors import InvalidInputError, NotAllowedError, StaleCaseError
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import EvidenceId, FindingId, MarkId, ReviewId
from triage_app.domain.permissions import Role
from triage_app.domain.review.entries import ReviewVerdict, sha256_of_content
from triage_app.domain.review.queue import FindingReview, ReviewState
from triage_app.domain.signed import Operator
from triage_app.domain.vehicle import Vehicle
from triage_app.services import Services
from triage_app.services.review import Decision

F1, F2, F3 = FindingId("f1"), FindingId("f2"), FindingId("f3")
SHIELD = some_tags("skid_plate", "dent")  # HV runs behind it; it is no HV part itself
CONFIRM = Decision(verdict=ReviewVerdict.CONFIRMED)
LOWER = Decision(
    verdict=ReviewVerdict.LOWERED,
    hv_flag=HvFlag.WITHIN_REACH,
    risk=Risk.LOW,
    reason="Cover off, cable seen whole behind it.",
)
BOX = rectangle(0.1, 0.1, 0.3, 0.3)
OTHER_BOX = rectangle(0.5, 0.5, 0.7, 0.7)


@pytest.fixture
def shop() -> Services:
    return a_shop()


def with_findings(shop: Services, *tags: Tags) -> Case:
    case = shop.intake.open_case(by=ESTIMATOR, vehicle=Vehicle(system_voltage_v=400.0))
    shop.intake.add_photo(case.id, a_jpeg(), file_name="a.jpg", by=ESTIMATOR)
    photo_id = shop.cases.get(case.id).photos[0].id
    for number, each in enumerate(tags, start=1):
        shop.marking.mark(
            case.id,
            photo_id,
            BOX,
            finding_id=FindingId(f"f{number}"),
            mark_id=MarkId(f"m{number}"),
            tags=each,
            by=ESTIMATOR,
        )
    return shop.cases.get(case.id)


def item(shop: Services, case: Case, finding_id: FindingId = F1) -> FindingReview:
    found = shop.review.queue(shop.cases.get(case.id)).of(finding_id)
    assert found is not None
    return found


def decided(
    shop: Services, case: Case, decision: Decision, *, by: Operator = SENIOR, f: FindingId = F1
) -> Case:
    return shop.review.decide(case.id, f, decision, seen=item(shop, case, f).sha256, by=by)


def test_the_queue_holds_what_is_at_hv_with_the_highest_risk_first(shop: Services) -> None:
    case = with_findings(
        shop, SHIELD, some_tags(), some_tags("wheel_arch_liner", "scrape", zone="rear_left")
    )
    queue = shop.review.queue(case)
    assert [one.finding.id for one in queue.one_by_one] == [F2, F1]
    assert [one.finding.id for one in queue.group] == [F3]
    assert queue.waiting == (*queue.one_by_one, *queue.group)


def test_a_signature_names_the_person_the_time_and_the_hash_of_what_was_signed() -> None:
    clock = TestClock()
    shop = a_shop(clock)
    case = with_findings(shop, some_tags())
    before = item(shop, case)
    clock.forward(timedelta(minutes=5))
    decided(shop, case, CONFIRM)
    signed = item(shop, case).signed
    assert signed is not None
    assert (signed.signed.by, signed.signed.at) == (SENIOR.name, NOON + timedelta(minutes=5))
    assert signed.given.sha256 == before.sha256 == sha256_of_content(before.content)
    for held in (case.photos[0].sha256, "m1", "severed", shop.rulebook.stamp.sha256, "HVF-001"):
        assert held in signed.given.content
    assert shop.review.queue(shop.cases.get(case.id)).waiting == ()


def test_only_a_reviewer_reviews(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    for role in (Role.ESTIMATOR, Role.ADJUSTER, Role.ADMINISTRATOR):
        person = Operator(name="Pat Person", roles=frozenset({role}))
        with pytest.raises(NotAllowedError, match="senior technician"):
            decided(shop, case, CONFIRM, by=person)
        with pytest.raises(NotAllowedError, match="senior technician"):
            shop.review.acknowledge(case.id, {}, by=person)
    assert shop.cases.get(case.id) == case


def test_a_lowered_finding_shows_both_answers(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    rules_answer = item(shop, case).answer
    decided(shop, case, LOWER)
    one = item(shop, case)
    assert one.answer == rules_answer
    assert rules_answer.hv_flag is HvFlag.AT_HV
    assert (one.hv_flag, one.risk) == (HvFlag.WITHIN_REACH, Risk.LOW)
    assert one.is_lowered
    summary = shop.cases.summaries()[0]
    assert summary.hv_flag is HvFlag.WITHIN_REACH
    assert shop.triage.assess(case.id, by=SENIOR).hv_flag is HvFlag.AT_HV


def test_a_warning_sign_is_not_lowered_with_the_findings(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    worst = shop.triage.assess_case(case).risk
    decided(shop, case, LOWER)
    queue = shop.review.queue(shop.cases.get(case.id))
    # Nobody has answered the signs of this case, and what is not known counts.
    assert queue.risk is not None
    assert worst is not None
    assert Risk.LOW < queue.risk <= worst


@pytest.mark.parametrize(
    ("tags", "why"),
    [
        (some_tags("hv_cable", "scrape"), "itself part of the high-voltage system"),
        (some_tags("battery_enclosure", "dent"), "itself part of the high-voltage system"),
        (some_tags("skid_plate", "burn_or_arc_mark"), "arc or burn at high voltage"),
        (some_tags("skid_plate", "melted"), "arc or burn"),
        (some_tags("skid_plate", "severed"), "cut, tear or puncture"),
        (some_tags("skid_plate", "puncture"), "cut, tear or puncture"),
        (some_tags("skid_plate", "tear"), "cut, tear or puncture"),
        (some_tags("skid_plate", "fracture"), "cut, tear or puncture"),
        (some_tags(None, "dent"), "nobody has said what part"),
        (some_tags("unidentified_component", "dent"), "nobody has said what part"),
        (some_tags("skid_plate", None), "nobody has said what the damage is"),
        (replace(SHIELD, hv_conductor_visible=True), "HV conductor shows"),
    ],
)
def test_what_nobody_may_lower_is_refused_with_a_sentence(
    shop: Services, tags: Tags, why: str
) -> None:
    case = with_findings(shop, tags)
    with pytest.raises(NotAllowedError, match=why):
        decided(shop, case, LOWER)
    assert shop.cases.get(case.id) == case


def test_who_recorded_a_finding_cannot_lower_it(shop: Services) -> None:
    both = Operator(
        name="estimator, ERIN", roles=frozenset({Role.ESTIMATOR, Role.SENIOR_TECHNICIAN})
    )
    case = with_findings(shop, SHIELD)
    with pytest.raises(NotAllowedError, match="another named person has to lower it"):
        decided(shop, case, LOWER, by=both)
    decided(shop, case, CONFIRM, by=both)
    admin = Operator(name="Abe Administrator", roles=frozenset({Role.ADMINISTRATOR}))
    settings = replace(shop.shop_settings.now(), second_person_clears=False)
    shop.shop_settings.change(settings, by=admin)
    decided(shop, case, LOWER, by=both)
    assert item(shop, case).is_lowered


@pytest.mark.parametrize(
    ("decision", "error"),
    [
        (Decision(verdict=ReviewVerdict.LOWERED, risk=Risk.LOW), "Give a reason"),
        (Decision(verdict=ReviewVerdict.LOWERED, reason="x"), "below what the rules say"),
        (
            Decision(verdict=ReviewVerdict.LOWERED, risk=Risk.ELIMINATED, reason="x"),
            "No review makes a risk eliminated",
        ),
        (
            Decision(
                verdict=ReviewVerdict.LOWERED, hv_flag=HvFlag.NONE, risk=Risk.HIGH, reason="x"
            ),
            "raises neither",
        ),
        (Decision(verdict=ReviewVerdict.ESCALATED, reason="x"), "to what level"),
        (Decision(verdict=ReviewVerdict.ESCALATED, risk=Risk.HIGH), "Give a reason"),
        (
            Decision(
                verdict=ReviewVerdict.ESCALATED, hv_flag=HvFlag.NONE, risk=Risk.HIGH, reason="x"
            ),
            "lowers neither",
        ),
        (Decision(verdict=ReviewVerdict.CONFIRMED, risk=Risk.HIGH), "leaves the flag"),
        (Decision(verdict=ReviewVerdict.ACKNOWLEDGED), "confirmed, escalated or lowered"),
        (Decision(verdict=ReviewVerdict.CORRECTED, reason="x"), "confirmed, escalated or lowered"),
    ],
)
def test_levels_and_reasons_have_to_fit(shop: Services, decision: Decision, error: str) -> None:
    case = with_findings(shop, SHIELD)
    assert item(shop, case).answer.risk < Risk.HIGH
    with pytest.raises(InvalidInputError, match=error):
        decided(shop, case, decision)
    assert shop.cases.get(case.id) == case


def test_an_escalation_outlives_the_signature_that_made_it(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    decided(shop, case, Decision(verdict=ReviewVerdict.ESCALATED, risk=Risk.HIGH, reason="Deep."))
    assert item(shop, case).risk is Risk.HIGH
    shop.marking.tag(case.id, F1, replace(SHIELD, note="seen"), expected_revision=1, by=ESTIMATOR)
    one = item(shop, case)
    assert (one.state, one.risk) == (ReviewState.UNSIGNED, Risk.HIGH)
    with pytest.raises(InvalidInputError, match="was escalated"):
        decided(shop, case, CONFIRM)
    decided(shop, case, replace(CONFIRM, reason="Measured: not deep."))
    assert item(shop, case).risk < Risk.HIGH


def tagged(shop: Services, case: Case) -> None:
    shop.marking.tag(case.id, F1, replace(SHIELD, note="n"), expected_revision=1, by=ESTIMATOR)


def reshaped(shop: Services, case: Case) -> None:
    shop.marking.reshape(case.id, MarkId("m1"), OTHER_BOX, expected_revision=1, by=ESTIMATOR)


def marked_again(shop: Services, case: Case) -> None:
    shop.marking.mark(case.id, case.photos[0].id, OTHER_BOX, finding_id=F1, by=ESTIMATOR)


def pinned(shop: Services, case: Case) -> None:
    shop.photos.pin(case.id, case.photos[0].id, (0.4, 0.5), by=ESTIMATOR)


def with_tests(shop: Services, case: Case) -> None:
    entry = a_test("isolation_resistance", TestOutcome.NOT_MET)
    shop.evidence.record(case, entry, finding_id=F1, record_id=EvidenceId("e1"), by=ESTIMATOR)
    shop.evidence.accept(case.id, EvidenceId("e1"), by=SENIOR)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (tagged, "the note changed from not said to n"),
        (reshaped, "1 mark was drawn anew"),
        (marked_again, "1 mark was added"),
        (pinned, "what is on record about a photo"),
        (with_tests, "what remains after the records changed"),
    ],
)
def test_a_later_change_unsigns_and_says_what_changed(
    shop: Services, change: Callable[[Services, Case], None], said: str
) -> None:
    case = with_findings(shop, SHIELD)
    decided(shop, case, LOWER)
    change(shop, case)
    one = item(shop, case)
    assert one.state is ReviewState.UNSIGNED
    assert said in one.changes
    assert (one.hv_flag, one.risk) == (one.answer.hv_flag, one.answer.risk)
    assert shop.cases.summaries()[0].hv_flag is HvFlag.AT_HV


def test_another_rule_book_unsigns(shop: Services) -> None:
    case = decided(shop, with_findings(shop, SHIELD), LOWER)
    newer = replace(shop.rulebook, stamp=replace(shop.rulebook.stamp, revision="999"))
    later = type(shop.review)(
        cases=shop.cases,
        clock=lambda: NOON,
        new_id=lambda: "x",
        rulebook=newer,
        guard=None,  # type: ignore[arg-type]  # only reads
    )
    found = later.queue(case).of(F1)
    assert found is not None
    assert found.state is ReviewState.UNSIGNED
    assert any("rule book changed" in change for change in found.changes)


def test_what_moved_while_the_reviewer_looked_is_refused(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    seen = item(shop, case).sha256
    shop.marking.tag(case.id, F1, replace(SHIELD, note="n"), expected_revision=1, by=ESTIMATOR)
    with pytest.raises(StaleCaseError, match="changed while you looked"):
        shop.review.decide(case.id, F1, CONFIRM, seen=seen, by=SENIOR)
    assert shop.cases.get(case.id).reviews == ()


def test_a_change_between_look_and_store_is_refused_too(
    shop: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = with_findings(shop, SHIELD)
    seen = item(shop, case).sha256
    old = shop.cases.get(case.id)
    shop.marking.tag(case.id, F1, replace(SHIELD, note="n"), expected_revision=1, by=ESTIMATOR)
    monkeypatch.setattr(shop.cases, "get", lambda _case_id: old)
    with pytest.raises(StaleCaseError, match="changed while you looked"):
        shop.review.decide(case.id, F1, CONFIRM, seen=seen, by=SENIOR)


def test_a_change_elsewhere_in_the_case_does_not_disturb_the_reviewer(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    seen = item(shop, case).sha256
    shop.intake.add_photo(case.id, a_jpeg(seed=3), file_name="b.jpg", by=ESTIMATOR)
    shop.review.decide(case.id, F1, CONFIRM, seen=seen, by=SENIOR)
    assert item(shop, case).state is ReviewState.SIGNED


def test_the_same_review_twice_is_one(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    seen = item(shop, case).sha256
    for _ in range(2):
        shop.review.decide(case.id, F1, CONFIRM, seen=seen, by=SENIOR, review_id=ReviewId("v1"))
    assert len(shop.cases.get(case.id).reviews) == 1


def test_findings_within_reach_are_acknowledged_together(shop: Services) -> None:
    far = some_tags("wheel_arch_liner", "scrape", zone="rear_left")
    case = with_findings(shop, far, far, SHIELD)
    queue = shop.review.queue(case)
    seen = {one.finding.id: one.sha256 for one in queue.group}
    assert set(seen) == {F1, F2}
    shop.review.acknowledge(case.id, seen, by=SENIOR)
    queue = shop.review.queue(shop.cases.get(case.id))
    assert [one.finding.id for one in queue.waiting] == [F3]
    shop.marking.tag(case.id, F1, replace(far, note="n"), expected_revision=1, by=ESTIMATOR)
    queue = shop.review.queue(shop.cases.get(case.id))
    assert {one.finding.id for one in queue.waiting} == {F1, F3}
    with pytest.raises(InvalidInputError, match="reviewed by itself"):
        shop.review.acknowledge(case.id, {F3: item(shop, case, F3).sha256}, by=SENIOR)


LINER = some_tags("wheel_arch_liner", "scrape", zone="rear_left")


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        (SHIELD, LINER),
        (some_tags(), LINER),
        # It stays at HV, and would open the way for a reviewer who sees a shield only.
        (some_tags(), SHIELD),
        (some_tags(), some_tags(None, "severed")),
        (some_tags("unidentified_component", "dent"), LINER),
        (replace(LINER, hv_conductor_visible=True), replace(LINER, hv_conductor_visible=False)),
        (replace(LINER, hv_conductor_visible=True), LINER),
        (
            replace(LINER, measures=Measures(distance_to_hv_mm=250, covers_off=True)),
            replace(LINER, measures=Measures(distance_to_hv_mm=900, covers_off=True)),
        ),
    ],
)
def test_an_estimator_cannot_rename_a_finding_out_of_high_voltage(
    shop: Services, was: Tags, becomes: Tags
) -> None:
    case = with_findings(shop, was)
    if item(shop, case).answer.hv_flag is not HvFlag.AT_HV:
        pytest.fail("the example is not at HV")
    with pytest.raises(NotAllowedError, match="only a senior technician"):
        shop.marking.tag(case.id, F1, becomes, expected_revision=1, by=ESTIMATOR)
    assert shop.cases.get(case.id) == case


def test_saying_what_nobody_had_said_is_free(shop: Services) -> None:
    case = with_findings(shop, Tags())
    shop.marking.tag(case.id, F1, LINER, expected_revision=1, by=ESTIMATOR)
    assert item(shop, case).answer.hv_flag is HvFlag.WITHIN_REACH


def test_a_reviewer_corrects_with_a_reason_and_it_stays_on_record(shop: Services) -> None:
    case = with_findings(shop, some_tags())
    with pytest.raises(InvalidInputError, match="with a reason"):
        shop.marking.tag(case.id, F1, LINER, expected_revision=1, by=SENIOR)
    seen = item(shop, case).sha256
    with pytest.raises(InvalidInputError, match="Give a reason"):
        shop.review.correct(case.id, F1, LINER, reason=" ", seen=seen, by=SENIOR)
    shop.review.correct(case.id, F1, LINER, reason="It is a liner.", seen=seen, by=SENIOR)
    one = item(shop, case)
    assert one.finding.tags == LINER
    assert one.state is ReviewState.WAITING
    assert [(kept.given.verdict, kept.given.reason) for kept in one.reviews] == [
        (ReviewVerdict.CORRECTED, "It is a liner.")
    ]


def test_a_reviewer_withdraws_but_not_their_own(shop: Services) -> None:
    own = Operator(name=ESTIMATOR.name, roles=SENIOR.roles)
    case = with_findings(shop, some_tags())
    with pytest.raises(NotAllowedError, match="another named person"):
        shop.marking.withdraw(case.id, F1, reason="none there", expected_revision=1, by=own)
    gone = shop.marking.withdraw(case.id, F1, reason="none there", expected_revision=1, by=SENIOR)
    assert gone.findings[0].withdrawn is not None


def test_no_voltage_typed_lower_takes_findings_down(shop: Services) -> None:
    case = with_findings(shop, SHIELD)
    for car in (
        replace(case.vehicle, system_voltage_v=48.0, powertrain=Powertrain.MILD_HYBRID_48V),
        replace(case.vehicle, system_voltage_v=None),
    ):
        with pytest.raises(NotAllowedError, match="only a senior technician"):
            shop.intake.describe_vehicle(case.id, car, by=ESTIMATOR)
    corrected = replace(case.vehicle, system_voltage_v=48.0, powertrain=Powertrain.MILD_HYBRID_48V)
    why = "Registration paper."
    done = shop.intake.describe_vehicle(case.id, corrected, by=SENIOR, reason=why)
    assert done.vehicle == corrected


def test_a_review_is_no_undo(shop: Services) -> None:
    from triage_app.domain.review.commands import SignReviews  # noqa: PLC0415 - only here

    case = with_findings(shop, some_tags())
    given = item(shop, decided(shop, case, CONFIRM)).reviews[0].given
    forged = replace(given, id=ReviewId("v9"), hv_flag=HvFlag.NONE, risk=Risk.LOW)
    with pytest.raises(InvalidInputError, match="not done by marking"):
        shop.marking.apply(case.id, SignReviews(given=(forged,)), by=SENIOR)
