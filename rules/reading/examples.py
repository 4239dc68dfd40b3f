"""examples.toml -> Example: facts in shop words, checked as strictly as the rules."""

from collections.abc import Iterable, Mapping

from rules.example import Example, Expected, ExpectedCase
from rules.model import CaseFacts, Facts, VehicleFacts, Zone
from rules.reading.case_rules import QUARANTINE, TRANSPORT
from rules.reading.judgements import DISPOSITIONS, Words
from rules.reading.rows import Row, rows_of
from rules.reading.words import CONSEQUENCES, HV_FLAGS, RISKS, SIGNAL_WORDS, Document
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    ComponentId,
    DamageId,
    HvFlag,
    Likelihood,
    Powertrain,
    Risk,
    RuleId,
    Side,
    ZoneId,
)

_NUMBERS = (
    "length_mm",
    "width_mm",
    "depth_mm",
    "distance_to_hv_mm",
    "distance_uncertainty_mm",
)
_FLAGS = ("covers_off", "hv_conductor_visible", "hangs_free", "on_impact_line")
_ANY_HV_FLAG = {"none": HvFlag.NONE, **HV_FLAGS}
_RULES_OF_THE_CAR = ("STP-", "QUA-", "TRP-")
_ANY_RISK: dict[str, Risk | None] = {"not assessed": None, **RISKS}
_ANSWERS = {"yes": True, "no": False, "unknown": None}


class ExampleReader:
    """Reads examples against the words and rules of one book."""

    def __init__(
        self,
        words: Words,
        zones: Mapping[ZoneId, Zone],
        rules: Iterable[RuleId],
        signs: Iterable[str],
    ) -> None:
        self._words = words
        self._zones = zones
        self._rules = frozenset(rules)
        self._signs = tuple(sorted(signs))

    def read(self, document: Document) -> tuple[Example, ...]:
        """Return one example for each row; RulebookError for a rule that is not in the book."""
        return tuple(
            self.example(row) for row in rows_of("examples.toml", document, "example", "rule")
        )

    def example(self, row: Row) -> Example:
        """Return the example in one row; RulebookError names file, row and field."""
        rule = row.text("rule")
        row.known("rule", (rule,), self._rules)
        hit, miss = self.case(row, "hit"), self.case(row, "miss")
        of_car = rule.startswith(_RULES_OF_THE_CAR)
        example = Example(
            rule=RuleId(rule),
            hit=hit,
            miss=miss,
            expect=None if of_car else _expected(row.table("expect")),
            expect_case=_expected_case(row.table("expect_case")) if of_car else None,
        )
        row.finish()
        return example

    def case(self, row: Row, field: str) -> CaseFacts:
        """Return a case of one finding and perhaps others beside it; one of signs needs none."""
        first = row.table(field)
        beside = f"{field}_beside"
        has_finding = first.has("component") or first.has("damage") or not first.has("signs")
        tables = [first] if has_finding else []
        tables += row.one_or_more_tables(beside) if row.has(beside) else ()
        volts = first.number("system_voltage_v") if first.has("system_voltage_v") else None
        drive = first.word("powertrain", Powertrain) if first.has("powertrain") else None
        whole = first.flag("battery_seen_whole") if first.has("battery_seen_whole") else None
        vehicle = VehicleFacts(
            system_voltage_v=volts,
            powertrain=drive or Powertrain.UNKNOWN,
            signs=self._answers(first),
            battery_seen_whole=whole,
        )
        findings = tuple(
            self._finding(table, str(number)) for number, table in enumerate(tables, start=1)
        )
        for table in {id(one): one for one in (first, *tables)}.values():
            table.finish()
        return CaseFacts(vehicle=vehicle, findings=findings)

    def _answers(self, row: Row) -> dict[str, bool | None]:
        if not row.has("signs"):
            return {}
        table = row.table("signs")
        others = table.pick("all", _ANSWERS) if table.has("all") else None
        answers = dict.fromkeys(self._signs, others)
        answers |= {sign: table.pick(sign, _ANSWERS) for sign in self._signs if table.has(sign)}
        table.finish()
        return answers

    def _finding(self, row: Row, finding_id: str) -> Facts:
        component = row.text("component") if row.has("component") else UNIDENTIFIED_COMPONENT
        damage = row.text("damage") if row.has("damage") else UNIDENTIFIED_DAMAGE
        zone = row.text("zone") if row.has("zone") else None
        row.known("component", (component,), self._words.components)
        row.known("damage", (damage,), self._words.damage_types)
        row.known("zone", () if zone is None else (zone,), self._zones)
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
            on_impact_line=flags.get("on_impact_line"),
            side=row.word("side", Side) if row.has("side") else None,
            near_orange_area=row.flag("near_orange_area") if row.has("near_orange_area") else False,
        )


def _expected(row: Row) -> Expected:
    expected = Expected(
        consequence=row.pick("consequence", CONSEQUENCES),
        likelihood=row.word("likelihood", Likelihood),
        risk=row.pick("risk", RISKS),
        hv_flag=row.pick("hv_flag", _ANY_HV_FLAG),
        signal_word=row.pick("signal_word", SIGNAL_WORDS),
        disposition=row.pick("disposition", DISPOSITIONS),
    )
    row.finish()
    return expected


def _expected_case(row: Row) -> ExpectedCase:
    expected = ExpectedCase(
        risk=row.pick("risk", _ANY_RISK),
        hv_flag=row.pick("hv_flag", _ANY_HV_FLAG),
        signal_word=row.pick("signal_word", SIGNAL_WORDS),
        quarantine=row.pick("quarantine", QUARANTINE),
        transport=row.pick("transport", TRANSPORT),
    )
    row.finish()
    return expected
