"""What the rules say of the whole case, as it is shown and stored."""

from dataclasses import dataclass

from rules.model import Action, Assessment, Citation, OpenTest, Reason, RulebookStamp
from rules.terms import HvFlag, Quarantine, Risk, RuleId, SignalWord, TransportClass


@dataclass(frozen=True, slots=True, kw_only=True)
class QuarantineAdvice:
    """How far the car is kept away, until a qualified person decides otherwise.

    To be shown: ``label`` as the heading, ``text`` as the advice, ``citations`` with their status
    beside the distance, and ``reasons`` unfolded. Even the mildest level is no release: its text
    says so. ``decided_by`` names the rules that set the level; it is empty at the mildest.
    """

    level: Quarantine
    label: str
    text: str
    citations: tuple[Citation, ...]
    reasons: tuple[Reason, ...]
    decided_by: tuple[RuleId, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnNumber:
    """A dangerous-goods number and what travels under it."""

    number: str
    travels: str
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TransportAdvice:
    """How the battery, or the car with it, may be carried. Never a release for carriage.

    To be shown: ``label`` as the heading, ``text`` and ``packing`` (packing instructions, small and
    large packagings) as the advice, every row of ``un_numbers``, ``citations`` with their status,
    and ``reasons`` unfolded. Unknown counts as damaged or defective.
    """

    transport_class: TransportClass
    label: str
    text: str
    packing: tuple[str, ...]
    un_numbers: tuple[UnNumber, ...]
    citations: tuple[Citation, ...]
    reasons: tuple[Reason, ...]
    decided_by: tuple[RuleId, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseAssessment:
    """What the rules say of the case.

    ``risk`` is the worst of the findings and of the warning signs; an answer that nobody gave
    counts as well. It is ``None`` only when there is no finding and no sign was answered with yes:
    such a case is "not assessed", never low. ``findings_risk`` is the worst of the findings alone,
    ``None`` when there is none. ``decided_by`` names the sign rules that set ``risk``; it is empty
    where a finding did. ``stop_conditions`` are sentences about signs that forbid work on the car.
    ``residual_risk`` is the worst that remains over all findings, those without records at their
    first risk, and never less than what the signs say or a test of the whole car that was not met;
    None while no record touches any and no such test failed.
    ``residual_open_tests`` are still outstanding; ``failed_on_car`` names, in words, tests of
    the whole car that did not meet their criterion: why more may remain than of any finding.
    """

    findings: tuple[Assessment, ...]
    risk: Risk | None
    findings_risk: Risk | None
    decided_by: tuple[RuleId, ...]
    hv_flag: HvFlag
    signal_word: SignalWord
    actions: tuple[Action, ...]
    open_tests: tuple[OpenTest, ...]
    stop_conditions: tuple[Reason, ...]
    quarantine: QuarantineAdvice
    transport: TransportAdvice
    stamp: RulebookStamp
    residual_risk: Risk | None = None
    residual_open_tests: tuple[OpenTest, ...] = ()
    failed_on_car: tuple[str, ...] = ()

    def of(self, finding_id: str) -> Assessment:
        """Return the assessment of one finding; ``KeyError`` if it was not assessed."""
        for assessment in self.findings:
            if assessment.finding_id == finding_id:
                return assessment
        raise KeyError(finding_id)
