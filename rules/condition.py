"""What a rule asks of a finding: its part and damage, and facts that may be unknown.

Every question has three answers: yes, no, and ``None`` for "nobody said". What ``None`` does is
written in the rule's own row, never decided here.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from rules.model import Component, DamageType
from rules.seen import CLASS_A_UP_TO_V_DC, Seen
from rules.terms import UNIDENTIFIED_COMPONENT, UNIDENTIFIED_DAMAGE, Role

MET = "met"


@dataclass(frozen=True, slots=True, kw_only=True)
class Selector:
    """Which parts and damages a row speaks of. ``None`` does not ask."""

    components: frozenset[str] | None = None
    groups: frozenset[str] | None = None
    roles: frozenset[Role] | None = None
    is_hv: bool | None = None
    hv_runs_behind: bool | None = None
    damages: frozenset[str] | None = None
    families: frozenset[str] | None = None

    @property
    def asks_part(self) -> bool:
        named = self.components, self.groups, self.roles, self.is_hv, self.hv_runs_behind
        return named != (None, None, None, None, None)

    @property
    def asks_damage(self) -> bool:
        return self.damages is not None or self.families is not None

    def takes_part(self, component: Component) -> bool:
        return (
            (self.components is None or _is_named(component.id, component.like, self.components))
            and (self.groups is None or component.group in self.groups)
            and (self.roles is None or component.role in self.roles)
            and (self.is_hv is None or component.is_hv is self.is_hv)
            and (self.hv_runs_behind is None or component.hv_runs_behind is self.hv_runs_behind)
        )

    def takes_damage(self, damage: DamageType) -> bool:
        return (self.damages is None or _is_named(damage.id, damage.like, self.damages)) and (
            self.families is None or damage.family in self.families
        )

    def may_be_part(self, component: Component) -> bool:
        """Like ``takes_part``, but a part that nobody has identified could be any."""
        return component.id == UNIDENTIFIED_COMPONENT or self.takes_part(component)

    def may_be_damage(self, damage: DamageType) -> bool:
        """Like ``takes_damage``, but damage that nobody has identified could be any."""
        return damage.id == UNIDENTIFIED_DAMAGE or self.takes_damage(damage)


def _is_named(word: str, like: str | None, names: frozenset[str]) -> bool:
    return word in names or like in names


def _at_least(value: float | None, limit: float) -> bool | None:
    return None if value is None else value >= limit


def _hv_within(seen: Seen, limit: float) -> bool | None:
    if seen.nearest_mm is not None and seen.nearest_mm <= limit:
        return True
    return False if seen.may_clear else None


def _zone_unknown(seen: Seen) -> tuple[str, ...]:
    return () if seen.zone is not None else ("zone",)


def _mm(value: float | None) -> str:
    return "not measured" if value is None else f"{value:g} mm"


def _distance_words(seen: Seen, _limit: float) -> str:
    facts = seen.facts
    if facts.distance_to_hv_mm is None:
        return "distance to HV not measured"
    how = "uncertainty not given"
    if facts.distance_uncertainty_mm is not None:
        how = f"give or take {facts.distance_uncertainty_mm:g} mm"
    covers = "covers off" if facts.covers_off else "covers not recorded as off"
    return f"HV {facts.distance_to_hv_mm:g} mm away, {how}, {covers}"


def _zone_words(seen: Seen, _limit: float) -> str:
    return "zone not given" if seen.zone is None else f"zone: {seen.zone.label}"


def _volts_words(seen: Seen, _limit: float) -> str:
    if seen.voltage_v is not None:
        of_class = "A" if seen.voltage_v <= CLASS_A_UP_TO_V_DC else "B"
        return f"system voltage {seen.voltage_v:g} V, class {of_class}"
    if seen.given_voltage_v is None:
        return "system voltage not known, taken as high"
    return f"system voltage {seen.given_voltage_v:g} V not believed of this drive, taken as high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A question about a fact: how it is judged, what is missing if nobody said, and in words.

    ``may_be_unknown`` false spares the row an entry under ``unknown``: either nobody can fail to
    answer, or the question is whether somebody has.
    """

    judge: Callable[[Seen, float], bool | None]
    missing: Callable[[Seen], tuple[str, ...]]
    words: Callable[[Seen, float], str]
    may_be_unknown: bool = True
    has_limit: bool = False


QUESTIONS: Mapping[str, Question] = {
    "depth_mm_min": Question(
        judge=lambda seen, limit: _at_least(seen.facts.depth_mm, limit),
        missing=lambda _seen: ("depth_mm",),
        words=lambda seen, limit: f"depth {_mm(seen.facts.depth_mm)}, limit {limit:g} mm",
        has_limit=True,
    ),
    "length_mm_min": Question(
        judge=lambda seen, limit: _at_least(seen.facts.length_mm, limit),
        missing=lambda _seen: ("length_mm",),
        words=lambda seen, limit: f"length {_mm(seen.facts.length_mm)}, limit {limit:g} mm",
        has_limit=True,
    ),
    "hv_within_mm": Question(
        judge=_hv_within,
        missing=lambda seen: seen.not_measured,
        words=_distance_words,
        has_limit=True,
    ),
    "distance_unknown": Question(
        judge=lambda seen, _limit: False if seen.may_clear else None,
        missing=lambda seen: seen.not_measured,
        words=_distance_words,
        may_be_unknown=False,
    ),
    "hv_zone": Question(
        judge=lambda seen, _limit: None if seen.zone is None else seen.zone.hv_runs_here,
        missing=_zone_unknown,
        words=_zone_words,
    ),
    "near_hv_zone": Question(
        judge=lambda seen, _limit: seen.near_hv_zone,
        missing=_zone_unknown,
        words=_zone_words,
    ),
    "conductor_visible": Question(
        judge=lambda seen, _limit: seen.facts.hv_conductor_visible,
        missing=lambda _seen: ("hv_conductor_visible",),
        words=lambda seen, _limit: (
            "HV-coloured conductor shows"
            if seen.facts.hv_conductor_visible
            else "nobody said that no HV-coloured conductor shows"
        ),
    ),
    "hangs_free": Question(
        judge=lambda seen, _limit: seen.facts.hangs_free,
        missing=lambda _seen: ("hangs_free",),
        words=lambda seen, _limit: (
            "an end hangs free" if seen.facts.hangs_free else "nobody said that no end hangs free"
        ),
    ),
    "voltage_v_over": Question(
        judge=lambda seen, limit: None if seen.voltage_v is None else seen.voltage_v > limit,
        missing=lambda _seen: ("system_voltage_v",),
        words=_volts_words,
        has_limit=True,
    ),
    "depth_not_measured": Question(
        judge=lambda seen, _limit: None if seen.facts.depth_mm is None else False,
        missing=lambda _seen: ("depth_mm",),
        words=lambda _seen, _limit: "depth not measured",
        may_be_unknown=False,
    ),
    "length_not_measured": Question(
        judge=lambda seen, _limit: None if seen.facts.length_mm is None else False,
        missing=lambda _seen: ("length_mm",),
        words=lambda _seen, _limit: "length not measured",
        may_be_unknown=False,
    ),
    "on_impact_line": Question(
        judge=lambda seen, _limit: seen.facts.on_impact_line,
        missing=lambda _seen: ("on_impact_line",),
        words=lambda _seen, _limit: "lies on the drawn line of impact",
    ),
    "battery_bolted_here": Question(
        judge=lambda seen, _limit: None if seen.zone is None else seen.zone.battery_bolted_here,
        missing=_zone_unknown,
        words=_zone_words,
    ),
    "near_orange": Question(
        judge=lambda seen, _limit: seen.facts.near_orange_area,
        missing=lambda _seen: (),
        words=lambda _seen, _limit: "a mark lies in or near an area that looks like orange cable",
        may_be_unknown=False,
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One question in a rule.

    ``unknown`` says what an answer that nobody gave does: ``MET`` counts as met, the id of another
    rule leaves it to that rule.
    """

    key: str
    limit: float
    unknown: str
    question: Question


def unmeasured_if_met(checks: tuple[Check, ...], seen: Seen) -> tuple[str, ...] | None:
    """Return the facts taken as worst if every check is met, or None if one is not."""
    unmeasured: tuple[str, ...] = ()
    for check in checks:
        answer = check.question.judge(seen, check.limit)
        if answer is None and check.unknown == MET:
            unmeasured += check.question.missing(seen)
        elif not answer:
            return None
    return unmeasured
