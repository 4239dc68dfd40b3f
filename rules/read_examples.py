"""examples.toml -> Example: facts in shop words, checked as strictly as the rules."""

from collections.abc import Mapping

from rules.example import Example, Expected
from rules.model import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    CaseFacts,
    ComponentId,
    DamageId,
    Facts,
    HvFlag,
    Likelihood,
    RuleId,
    VehicleFacts,
    Zone,
    ZoneId,
)
from rules.read_rules import DISPOSITIONS, Words
from rules.read_words import CONSEQUENCES, HV_FLAGS, RISKS, Document
from rules.rows import Row, rows_of
from rules.rule import Rule

_NUMBERS = (
    "length_mm",
    "width_mm",
    "depth_mm",
    "distance_to_hv_mm",
    "distance_uncertainty_mm",
)
_FLAGS = ("covers_off", "hv_conductor_visible", "hangs_free")
_ANY_HV_FLAG = {"none": HvFlag.NONE, **HV_FLAGS}


def read_examples(
    document: Document,
    words: Words,
    zones: Mapping[ZoneId, Zone],
    rules: Mapping[RuleId, Rule],
) -> tuple[Example, ...]:
    """Return one example for each row; RulebookError for a rule that is not in the book."""
    examples: list[Example] = []
    for row in rows_of("examples.toml", document, "example", "rule"):
        rule = row.text("rule")
        row.known("rule", (rule,), rules)
        examples.append(
            Example(
                rule=RuleId(rule),
                hit=_case(row, "hit", words, zones),
                miss=_case(row, "miss", words, zones),
                expect=_expected(row.table("expect")) if row.has("expect") else None,
            )
        )
        row.finish()
    return tuple(examples)


def _case(row: Row, field: str, words: Words, zones: Mapping[ZoneId, Zone]) -> CaseFacts:
    first = row.table(field)
    volts = first.number("system_voltage_v") if first.has("system_voltage_v") else None
    findings = [_finding(first, "1", words, zones)]
    beside = f"{field}_beside"
    if row.has(beside):
        other = row.table(beside)
        findings.append(_finding(other, "2", words, zones))
        other.finish()
    first.finish()
    return CaseFacts(
        vehicle=VehicleFacts(system_voltage_v=volts, signs={}), findings=tuple(findings)
    )


def _finding(row: Row, finding_id: str, words: Words, zones: Mapping[ZoneId, Zone]) -> Facts:
    component = row.text("component") if row.has("component") else UNIDENTIFIED_COMPONENT
    damage = row.text("damage") if row.has("damage") else UNIDENTIFIED_DAMAGE
    zone = row.text("zone") if row.has("zone") else None
    row.known("component", (component,), words.components)
    row.known("damage", (damage,), words.damage_types)
    row.known("zone", () if zone is None else (zone,), zones)
    numbers = {name: row.number(name) for name in _NUMBERS if row.has(name)}
    flags = {name: row.flag(name) for name in _FLAGS if row.has(name)}
    return Facts(
        finding_id=finding_id,
        component=ComponentId(component),
        damage=DamageId(damage),
        zone=None if zone is None else ZoneId(zone),
        length_mm=numbers.get("length_mm"),
        width_mm=numbers.get("width_mm"),
        depth_mm=numbers.get("depth_mm"),
        distance_to_hv_mm=numbers.get("distance_to_hv_mm"),
        distance_uncertainty_mm=numbers.get("distance_uncertainty_mm"),
        covers_off=flags.get("covers_off"),
        hv_conductor_visible=flags.get("hv_conductor_visible"),
        hangs_free=flags.get("hangs_free"),
        near_orange_area=row.flag("near_orange_area") if row.has("near_orange_area") else False,
    )


def _expected(row: Row) -> Expected:
    expected = Expected(
        consequence=row.pick("consequence", CONSEQUENCES),
        likelihood=row.word("likelihood", Likelihood),
        risk=row.pick("risk", RISKS),
        hv_flag=row.pick("hv_flag", _ANY_HV_FLAG),
        disposition=row.pick("disposition", DISPOSITIONS),
    )
    row.finish()
    return expected
