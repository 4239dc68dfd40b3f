"""Assessments for report tests, made by hand and not by the engine.

The report only has to say what an assessment holds, so its tests choose that freely.
"""

import hashlib
from collections.abc import Callable, Sequence
from functools import cache

from rules import (
    Action,
    ActionId,
    Assessment,
    Basis,
    CaseAssessment,
    Citation,
    Consequence,
    Disposition,
    HvFlag,
    Likelihood,
    OpenTest,
    OpenTestId,
    Quarantine,
    QuarantineAdvice,
    Reason,
    Risk,
    Rulebook,
    RulebookStamp,
    RuleId,
    SignalWord,
    SourceId,
    SourceStatus,
    TransportAdvice,
    TransportClass,
    UnNumber,
    load_rulebook,
)
from tests.builders import NOON
from triage_app.domain.case import Case
from triage_app.domain.errors import NotFoundError
from triage_app.domain.ids import Sha256
from triage_app.domain.signed import Signed
from triage_app.services.reporting import ReportInput

STAMP = RulebookStamp(revision="7", sha256="ab" * 32)
ISSUED = Signed(by="Erin Estimator", at=NOON)

SAFING = Action(
    id=ActionId("lock_out"),
    text="Open the service disconnect, lock and tag it.",
    order=10,
    is_safing=True,
    signal_word=SignalWord.WARNING,
)
PROVE = Action(
    id=ActionId("prove"),
    text="Prove the instrument, read every test point, prove the instrument again.",
    order=20,
    is_safing=True,
    signal_word=SignalWord.WARNING,
)
REPLACE_CABLE = Action(
    id=ActionId("replace_cable"),
    text="Replace the cable as a whole; it is not spliced.",
    order=100,
    is_safing=False,
    signal_word=SignalWord.WARNING,
)
CLEAN = Action(
    id=ActionId("clean"),
    text="Clean the place and look again.",
    order=200,
    is_safing=False,
    signal_word=SignalWord.NOTICE,
)
ISOLATION = OpenTest(
    id=OpenTestId("isolation"),
    text="Measure the isolation resistance by the maker's procedure.",
    by="qualified high-voltage technician",
)

CUT_CABLE = Reason(
    rule_id=RuleId("SEV-001"),
    because="A cut HV cable leaves a bare conductor that may be live.",
    basis=Basis.STANDARD,
    citations=(
        Citation(
            source=SourceId("nfpa_70e"),
            clause="table 1",
            says="Nobody unqualified comes near an exposed conductor.",
            status=SourceStatus.READ_IN_A_COPY,
        ),
    ),
    unmeasured=("distance_to_hv_mm",),
)
SCRAPE = Reason(
    rule_id=RuleId("SEV-020"),
    because="A scrape without depth changes nothing but the coating.",
    basis=Basis.COMMON_PRACTICE,
    citations=(),
)
IS_HV = Reason(
    rule_id=RuleId("HV-001"),
    because="The part belongs to the high-voltage system.",
    basis=Basis.JUDGEMENT,
    citations=(),
)


KEPT_APART = QuarantineAdvice(
    level=Quarantine.KEEP_APART,
    label="Keep apart",
    text="15 m or a barrier.",
    citations=(),
    reasons=(IS_HV,),
    decided_by=(IS_HV.rule_id,),
)
AS_DAMAGED = TransportAdvice(
    transport_class=TransportClass.DAMAGED_OR_DEFECTIVE,
    label="Damaged or defective",
    text="Never by air.",
    packing=("P908",),
    un_numbers=(UnNumber(number="UN 3480", travels="a battery", citations=()),),
    citations=(),
    reasons=(IS_HV,),
    decided_by=(IS_HV.rule_id,),
)


@cache
def a_rulebook() -> Rulebook:
    """Return the book as shipped: the report takes nothing but names and sources from it."""
    return load_rulebook()


def high_at_hv(finding_id: str) -> Assessment:
    """Assess as a cut HV cable would be."""
    return Assessment(
        finding_id=finding_id,
        consequence=Consequence.CATASTROPHIC,
        likelihood=Likelihood.B,
        risk=Risk.HIGH,
        hv_flag=HvFlag.AT_HV,
        hv_reasons=(IS_HV,),
        signal_word=SignalWord.DANGER,
        disposition=Disposition.REPLACE,
        actions=(REPLACE_CABLE, SAFING, PROVE),
        open_tests=(ISOLATION,),
        reasons=(CUT_CABLE, SCRAPE),
        decided_by=(CUT_CABLE.rule_id,),
    )


def low_without_flag(finding_id: str) -> Assessment:
    """Assess as a scrape of a bracket would be."""
    return Assessment(
        finding_id=finding_id,
        consequence=Consequence.NEGLIGIBLE,
        likelihood=Likelihood.C,
        risk=Risk.LOW,
        hv_flag=HvFlag.NONE,
        hv_reasons=(),
        signal_word=SignalWord.NOTICE,
        disposition=Disposition.CLEAN_AND_PROTECT,
        actions=(CLEAN,),
        open_tests=(),
        reasons=(SCRAPE,),
        decided_by=(SCRAPE.rule_id,),
    )


def assessed(
    case: Case,
    *of_findings: Assessment,
    stop_conditions: Sequence[Reason] = (),
) -> CaseAssessment:
    """Return the case's assessment; findings that are not named are cut HV cables."""
    given = {assessment.finding_id: assessment for assessment in of_findings}
    every = tuple(given.get(finding.id) or high_at_hv(finding.id) for finding in case.open_findings)
    actions = {action.id: action for one in every for action in one.actions}
    tests = {test.id: test for one in every for test in one.open_tests}
    return CaseAssessment(
        findings=every,
        risk=max((one.risk for one in every), default=None),
        findings_risk=max((one.risk for one in every), default=None),
        decided_by=(),
        hv_flag=max((one.hv_flag for one in every), default=HvFlag.NONE),
        signal_word=max((one.signal_word for one in every), default=SignalWord.NOTICE),
        actions=tuple(sorted(actions.values(), key=lambda action: action.order)),
        open_tests=tuple(tests.values()),
        stop_conditions=tuple(stop_conditions),
        quarantine=KEPT_APART,
        transport=AS_DAMAGED,
        stamp=STAMP,
    )


def material(case: Case, assessment: CaseAssessment | None = None) -> ReportInput:
    return ReportInput(
        case=case,
        assessment=assessment or assessed(case),
        issued=ISSUED,
        journal_head="cd" * 32,
        journal_count=9,
    )


def photos_from(*originals: bytes) -> Callable[[Sha256], bytes]:
    """Return a loader of originals by their hash."""
    by_hash = {hashlib.sha256(data).hexdigest(): data for data in originals}

    def load(sha256: Sha256) -> bytes:
        if sha256 not in by_hash:
            raise NotFoundError("No such photo.")
        return by_hash[sha256]

    return load


def quiet(done: int, total: int) -> None:
    """Show no progress."""
