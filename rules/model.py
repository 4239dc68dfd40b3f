"""The words and values that go into a triage and come out of it.

Order never matters in this package: rules are independent, their results combine by the worst
risk and by the union of reasons, actions and tests. Values that mean "unknown" are ``None`` and
always count as worse than any known value.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from rules.evidence import Evidence
from rules.terms import (
    MAX_SYSTEM_VOLTAGE_V,
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    ActionId,
    Basis,
    ComponentId,
    Consequence,
    DamageId,
    Disposition,
    FactsError,
    HvFlag,
    Likelihood,
    OpenTestId,
    Origin,
    Powertrain,
    Risk,
    Role,
    RuleId,
    Side,
    SignalWord,
    SourceId,
    SourceStatus,
    ZoneId,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One cited document, once."""

    id: SourceId
    title: str
    publisher: str
    edition: str
    status: SourceStatus
    origin: Origin = Origin.BOOK


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """Where a rule's statement is from. ``says`` is our paraphrase, never a quotation.

    ``clause`` is "-" where the source has none, such as common practice.
    """

    source: SourceId
    clause: str
    says: str
    status: SourceStatus

    @property
    def statement(self) -> str:
        """Clause and paraphrase, such as "S4: a working voltage ..."; the latter alone if "-"."""
        return self.says if self.clause in ("", "-") else f"{self.clause}: {self.says}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """A part that a person meets under the car. ``group`` is what the rules call its kind.

    ``behind`` names the HV parts that lie behind or beside it on a typical car; it is empty for HV
    parts and for a part that nobody identified. ``like`` names a part of our book: every rule that
    speaks of that one speaks of this one too.
    """

    id: ComponentId
    label: str
    description: str
    role: Role
    is_hv: bool
    hv_runs_behind: bool
    zones: tuple[ZoneId, ...]
    synonyms: tuple[str, ...]
    group: str = ""
    behind: tuple[ComponentId, ...] = ()
    like: ComponentId | None = None
    origin: Origin = Origin.BOOK


@dataclass(frozen=True, slots=True, kw_only=True)
class DamageType:
    """A way in which a part can be damaged. ``measures`` names the extents that apply.

    ``like`` names a damage type of our book: every rule that speaks of that one speaks of this too.
    """

    id: DamageId
    label: str
    description: str
    measures: tuple[str, ...]
    synonyms: tuple[str, ...]
    family: str = ""
    like: DamageId | None = None
    origin: Origin = Origin.BOOK


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A part of the underside, as on the plan view. ``battery_bolted_here``: to the body."""

    id: ZoneId
    label: str
    description: str
    hv_runs_here: bool
    adjacent: tuple[ZoneId, ...]
    battery_bolted_here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TravelLine:
    """A way in which an object passes under the car, as the zones that it meets in order."""

    id: str
    label: str
    zones: tuple[ZoneId, ...]
    is_lengthwise: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """Something a person has to do, in the order of ``order``.

    A safing action is mandatory for every finding flagged ``required_from`` or nearer to HV: the
    engine adds it, and no rule, overlay or reviewer can drop it.
    """

    id: ActionId
    text: str
    order: int
    is_safing: bool
    signal_word: SignalWord
    required_from: HvFlag | None = None
    origin: Origin = Origin.BOOK


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenTest:
    """A test whose result is still missing and on which the outcome may turn."""

    id: OpenTestId
    text: str
    by: str
    origin: Origin = Origin.BOOK


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Plain facts of one finding. No photos here. ``None`` is "not known" and counts as worse.

    ``distance_to_hv_mm`` is the shortest measured distance from the damage to an HV part;
    ``distance_uncertainty_mm`` its standard uncertainty's expanded half-width. The distance only
    counts when ``covers_off`` is true. ``on_impact_line``: a person drew the line along which the
    object passed, and the damage lies on it; while nobody drew one, the zones are asked instead.
    """

    finding_id: str
    component: ComponentId = UNIDENTIFIED_COMPONENT
    damage: DamageId = UNIDENTIFIED_DAMAGE
    zone: ZoneId | None = None
    side: Side | None = None
    length_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None
    distance_to_hv_mm: float | None = None
    distance_uncertainty_mm: float | None = None
    covers_off: bool | None = None
    hv_conductor_visible: bool | None = None
    hangs_free: bool | None = None
    near_orange_area: bool = False
    on_impact_line: bool | None = None

    def __post_init__(self) -> None:
        for name in (
            "length_mm",
            "width_mm",
            "depth_mm",
            "distance_to_hv_mm",
            "distance_uncertainty_mm",
        ):
            value = getattr(self, name)
            if value is not None and not (_is_number(value) and value >= 0):
                raise FactsError(f"{name} must be a number, 0 or more, got {value!r}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleFacts:
    """What the rules know of the car: the kind of drive and the highest DC voltage of its system.

    An unknown voltage is taken as high, and so is one that this kind of drive cannot have.
    ``signs`` maps the name of a warning sign (``Rulebook.signs``) to yes, no, or ``None`` for "not
    known". ``battery_seen_whole`` is true only when a person saw all of the battery's underside
    with the covers off and wrote that there is no visible damage.
    """

    system_voltage_v: float | None = None
    powertrain: Powertrain = Powertrain.UNKNOWN
    signs: Mapping[str, bool | None]
    battery_seen_whole: bool | None = None

    def __post_init__(self) -> None:
        volts = self.system_voltage_v
        if volts is not None and not (_is_number(volts) and 0 <= volts <= MAX_SYSTEM_VOLTAGE_V):
            raise FactsError(
                f"system_voltage_v must be between 0 and {MAX_SYSTEM_VOLTAGE_V:g}, got {volts!r}."
            )
        for name, answer in self.signs.items():
            if not (answer is True or answer is False or answer is None):
                # "yes" or 1 would fit neither the rule for yes nor that for not known.
                raise FactsError(f"The sign '{name}' is True, False or None, got {answer!r}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFacts:
    """Everything the rules are given, in any order: the vehicle, its findings, what was tested.

    ``evidence`` holds accepted, current records only; one about another finding touches nothing.
    """

    vehicle: VehicleFacts
    findings: tuple[Facts, ...]
    evidence: tuple[Evidence, ...] = ()

    def __post_init__(self) -> None:
        if len({record.id for record in self.evidence}) != len(self.evidence):
            raise FactsError("Two records have the same id.")
        seen: set[str] = set()
        for finding in self.findings:
            if finding.finding_id in seen:
                raise FactsError(f"Two findings have the id '{finding.finding_id}'.")
            seen.add(finding.finding_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One rule that fired on one finding, and why.

    ``unmeasured`` names facts that nobody gave and that were taken as worst; ``facts`` says in
    words what met the rule; ``with_findings`` are the ids of other findings that it needed.
    ``origin`` tells a shop's own rule from one of ours.
    """

    rule_id: RuleId
    because: str
    basis: Basis
    citations: tuple[Citation, ...]
    unmeasured: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    with_findings: tuple[str, ...] = ()
    origin: Origin = Origin.BOOK


@dataclass(frozen=True, slots=True, kw_only=True)
class Residual:
    """What remains of a finding after the accepted records: a second answer, beside the first.

    Its consequence and HV flag are those of the first. ``reasons`` are the rules of evidence that
    counted; ``decided_by`` and ``repair_decided_by`` name the rules, of the first answer or of
    evidence, that set likelihood and disposition. ``open_tests`` are still outstanding.
    """

    likelihood: Likelihood
    risk: Risk
    disposition: Disposition
    reasons: tuple[Reason, ...]
    decided_by: tuple[RuleId, ...]
    repair_decided_by: tuple[RuleId, ...]
    open_tests: tuple[OpenTest, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """What the rules say of one finding.

    ``risk`` is the hazard now, to people, until made safe and tested. ``disposition`` is the
    repair needed. They are two answers and are never mixed. ``reasons`` holds every rule that
    fired; ``decided_by`` names those that set the risk, ``repair_decided_by`` those that set the
    disposition. ``residual`` is None while no accepted record touches the finding.
    """

    finding_id: str
    consequence: Consequence
    likelihood: Likelihood
    risk: Risk
    hv_flag: HvFlag
    hv_reasons: tuple[Reason, ...]
    signal_word: SignalWord
    disposition: Disposition
    actions: tuple[Action, ...]
    open_tests: tuple[OpenTest, ...]
    reasons: tuple[Reason, ...]
    decided_by: tuple[RuleId, ...]
    repair_decided_by: tuple[RuleId, ...] = ()
    residual: Residual | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OverlayStamp:
    """Which rules of a shop lie over the book; ``sha256`` is that of the shop's file alone."""

    name: str
    revision: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RulebookStamp:
    """Which rule book gave an answer: its revision and the SHA-256 of its tables.

    With an overlay ``sha256`` covers both, the tables and the shop's file.
    """

    revision: str
    sha256: str
    overlay: OverlayStamp | None = None

    @property
    def words(self) -> str:
        """The book in words, without its hash: "revision 1, with the shop's rules ..."."""
        if self.overlay is None:
            return f"revision {self.revision}"
        shop = self.overlay
        return (
            f"revision {self.revision}, with the shop's rules '{shop.name}' revision "
            f"{shop.revision}"
        )
