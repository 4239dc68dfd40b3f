"""Tables of words -> vocabulary, texts, sources and the risk matrix."""

from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType

from rules.model import Action, Citation, Component, DamageType, OpenTest, Source, TravelLine, Zone
from rules.reading.rows import Row, list_of_rows, rows_of
from rules.rulebook import Fact, Meaning
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    ActionId,
    ComponentId,
    Consequence,
    DamageId,
    HvFlag,
    Likelihood,
    OpenTestId,
    Risk,
    Role,
    RulebookError,
    SignalWord,
    SourceId,
    SourceStatus,
    ZoneId,
)

Document = Mapping[str, object]

CONSEQUENCES = {word.name.lower(): word for word in Consequence}
SIGNAL_WORDS = {word.name.lower(): word for word in SignalWord}
RISKS = {word.name.lower(): word for word in Risk}
HV_FLAGS = {"within reach": HvFlag.WITHIN_REACH, "at HV": HvFlag.AT_HV}
MEASURES = ("length_mm", "width_mm", "depth_mm")


def read_zones(document: Document) -> Mapping[ZoneId, Zone]:
    rows = rows_of("zones.toml", document, "zone", "id")
    zones: dict[ZoneId, Zone] = {}
    for row in rows:
        zone = Zone(
            id=ZoneId(row.text("id")),
            label=row.text("label"),
            description=row.text("description"),
            hv_runs_here=row.flag("hv_runs_here"),
            battery_bolted_here=row.flag("battery_bolted_here"),
            adjacent=tuple(ZoneId(name) for name in row.some("adjacent")),
        )
        row.finish()
        zones[zone.id] = zone
    for row, zone in zip(rows, zones.values(), strict=True):
        row.known("adjacent", zone.adjacent, zones)
        for other in zone.adjacent:
            if other == zone.id or zone.id not in zones[other].adjacent:
                raise row.fault("adjacent", f"'{other}' does not name '{zone.id}' in return.")
    return MappingProxyType(zones)


def read_travel_lines(document: Document, zones: Mapping[ZoneId, Zone]) -> tuple[TravelLine, ...]:
    """Return the lines of travel; RulebookError where two zones in line do not touch."""
    lines: list[TravelLine] = []
    for row in rows_of("travel_lines.toml", document, "line", "id"):
        row.known("zones", row.some("zones"), zones)
        line = TravelLine(
            id=row.text("id"),
            label=row.text("label"),
            zones=tuple(ZoneId(name) for name in row.some("zones")),
            is_lengthwise=row.flag("is_lengthwise"),
        )
        row.finish()
        for one, other in pairwise(line.zones):
            if other not in zones[one].adjacent:
                raise row.fault("zones", f"'{one}' and '{other}' do not touch.")
        lines.append(line)
    return tuple(lines)


def read_components(
    document: Document, zones: Mapping[ZoneId, Zone]
) -> Mapping[ComponentId, Component]:
    components: dict[ComponentId, Component] = {}
    for row in rows_of("components.toml", document, "component", "id"):
        row.known("zones", row.some("zones"), zones)
        component = Component(
            id=ComponentId(row.text("id")),
            label=row.text("label"),
            description=row.text("description"),
            role=row.word("role", Role),
            group=row.text("group"),
            is_hv=row.flag("is_hv"),
            hv_runs_behind=row.flag("hv_runs_behind"),
            zones=tuple(ZoneId(name) for name in row.some("zones")),
            synonyms=row.some("synonyms"),
            behind=tuple(ComponentId(name) for name in row.texts("behind", optional=True)),
        )
        row.finish()
        if component.is_hv and not component.hv_runs_behind:
            raise row.fault("hv_runs_behind", "must be true where is_hv is.")
        components[component.id] = component
    if UNIDENTIFIED_COMPONENT not in components:
        raise RulebookError(f"components.toml, {UNIDENTIFIED_COMPONENT}, id: is missing.")
    _refuse_wrong_behind(document, components)
    return MappingProxyType(components)


def _refuse_wrong_behind(document: Document, components: Mapping[ComponentId, Component]) -> None:
    """Refuse a part whose ``behind`` is not HV, not near it, missing, or said of an HV part."""
    for row in rows_of("components.toml", document, "component", "id"):
        part = components[ComponentId(row.name)]
        row.known("behind", part.behind, components)
        needs = part.hv_runs_behind and not part.is_hv and part.id != UNIDENTIFIED_COMPONENT
        if needs is not bool(part.behind):
            why = "must name the HV parts" if needs else "is only for a part before HV"
            raise row.fault("behind", f"{why}.")
        for other in (components[name] for name in part.behind):
            if not other.is_hv or not set(other.zones) & set(part.zones):
                raise row.fault("behind", f"'{other.id}' is not HV or never in the same zone.")


def read_damage_types(document: Document) -> Mapping[DamageId, DamageType]:
    damage_types: dict[DamageId, DamageType] = {}
    for row in rows_of("damage_types.toml", document, "damage_type", "id"):
        row.known("measures", row.texts("measures"), MEASURES)
        damage = DamageType(
            id=DamageId(row.text("id")),
            label=row.text("label"),
            description=row.text("description"),
            family=row.text("family"),
            measures=row.texts("measures"),
            synonyms=row.some("synonyms"),
        )
        row.finish()
        damage_types[damage.id] = damage
    if UNIDENTIFIED_DAMAGE not in damage_types:
        raise RulebookError(f"damage_types.toml, {UNIDENTIFIED_DAMAGE}, id: is missing.")
    return MappingProxyType(damage_types)


def read_actions(document: Document) -> Mapping[ActionId, Action]:
    actions: dict[ActionId, Action] = {}
    orders: dict[int, str] = {}
    for row in rows_of("actions.toml", document, "action", "id"):
        action = read_action(row)
        if action.order in orders:
            raise row.fault("order", f"{action.order} is also that of {orders[action.order]}.")
        orders[action.order] = action.id
        actions[action.id] = action
    if not any(action.required_from is HvFlag.WITHIN_REACH for action in actions.values()):
        raise RulebookError("actions.toml: has no safing action that is always required.")
    return MappingProxyType(actions)


def read_action(row: Row) -> Action:
    is_safing = row.flag("is_safing")
    action = Action(
        id=ActionId(row.text("id")),
        text=row.text("text"),
        order=row.whole("order"),
        is_safing=is_safing,
        signal_word=row.pick("signal_word", SIGNAL_WORDS),
        required_from=row.pick("required_from", HV_FLAGS) if is_safing else None,
    )
    row.finish()
    return action


def safing_by_flag(actions: Mapping[ActionId, Action]) -> Mapping[HvFlag, frozenset[ActionId]]:
    """Return, for each flag, the safing actions that are mandatory with it."""
    return MappingProxyType(
        {
            flag: frozenset(
                action.id
                for action in actions.values()
                if action.required_from is not None and action.required_from <= flag
            )
            for flag in HvFlag
        }
    )


def read_open_tests(document: Document) -> Mapping[OpenTestId, OpenTest]:
    tests: dict[OpenTestId, OpenTest] = {}
    for row in rows_of("open_tests.toml", document, "open_test", "id"):
        test = read_open_test(row)
        tests[test.id] = test
    return MappingProxyType(tests)


def read_open_test(row: Row) -> OpenTest:
    test = OpenTest(id=OpenTestId(row.text("id")), text=row.text("text"), by=row.text("by"))
    row.finish()
    return test


def read_sources(document: Document) -> Mapping[SourceId, Source]:
    sources: dict[SourceId, Source] = {}
    for row in rows_of("sources.toml", document, "source", "id"):
        source = read_source(row)
        sources[source.id] = source
    return MappingProxyType(sources)


def read_source(row: Row) -> Source:
    source = Source(
        id=SourceId(row.text("id")),
        title=row.text("title"),
        publisher=row.text("publisher"),
        edition=row.text("edition"),
        status=row.word("status", SourceStatus),
    )
    row.finish()
    return source


def read_facts(document: Document, sources: Mapping[SourceId, Source]) -> Mapping[str, Fact]:
    facts: dict[str, Fact] = {}
    for row in rows_of("facts.toml", document, "fact", "id"):
        fact = read_fact(row, sources)
        facts[fact.id] = fact
    return MappingProxyType(facts)


def read_fact(row: Row, sources: Mapping[SourceId, Source]) -> Fact:
    row.known("source", (row.text("source"),), sources)
    has_value = row.has("value") or row.has("unit")
    fact = Fact(
        id=row.text("id"),
        citation=Citation(
            source=SourceId(row.text("source")),
            clause=row.text("clause"),
            says=row.text("says"),
            status=row.word("status", SourceStatus),
        ),
        value=row.number("value") if has_value else None,
        unit=row.text("unit") if has_value else "",
    )
    row.finish()
    return fact


def cited(row: Row, facts: Mapping[str, Fact]) -> tuple[Citation, ...]:
    """Return the citations that the row's ``cites`` name; RulebookError for an unknown one."""
    ids = row.texts("cites", optional=True)
    row.known("cites", ids, facts)
    return tuple(facts[fact_id].citation for fact_id in ids)


class RiskTable:
    """Table III with the names of its rows and columns."""

    def __init__(self, document: Document, sources: Mapping[SourceId, Source]) -> None:
        file = "risk_matrix.toml"
        self.consequences = _consequence_meanings(file, document)
        self.likelihoods = _likelihood_meanings(file, document)
        top = Row(file, "risk", document)
        cells = top.table("risk")
        self.matrix: dict[tuple[Consequence, Likelihood], Risk] = {}
        for level in Likelihood:
            words = cells.take(level.value)
            if not isinstance(words, list) or len(words) != len(Consequence):
                raise cells.fault(level.value, f"must hold {len(Consequence)} risks.")
            for consequence, word in zip(Consequence, words, strict=True):
                if word not in RISKS:
                    raise cells.fault(level.value, f"knows no risk '{word}'.")
                self.matrix[consequence, level] = RISKS[word]
        cells.finish()
        top.known("source", (top.text("source"),), sources)
        self.citation = Citation(
            source=SourceId(top.text("source")),
            clause=top.text("clause"),
            says="risk follows from consequence and likelihood",
            status=sources[SourceId(top.text("source"))].status,
        )
        top.take("consequence")
        top.take("likelihood")
        top.finish()


def _consequence_meanings(file: str, document: Document) -> Mapping[Consequence, Meaning]:
    meanings: dict[Consequence, Meaning] = {}
    for row in list_of_rows(file, document, "consequence", "category"):
        category = row.pick("category", CONSEQUENCES)
        if row.whole("number") != category:
            raise row.fault("number", f"must be {int(category)}.")
        meanings[category] = Meaning(name=row.text("category"), says=row.text("meaning"))
        row.finish()
    if set(meanings) != set(Consequence):
        raise RulebookError(f"{file}, consequence: every category needs its row.")
    return meanings


def _likelihood_meanings(file: str, document: Document) -> Mapping[Likelihood, Meaning]:
    meanings: dict[Likelihood, Meaning] = {}
    for row in list_of_rows(file, document, "likelihood", "level"):
        level = row.word("level", Likelihood)
        meanings[level] = Meaning(name=row.text("name"), says=row.text("meaning"))
        row.finish()
    if set(meanings) != set(Likelihood):
        raise RulebookError(f"{file}, likelihood: every level needs its row.")
    return meanings


class SignalTable:
    """Signal words, what they mean, and the least one for each consequence."""

    def __init__(self, document: Document, facts: Mapping[str, Fact]) -> None:
        file = "signal_words.toml"
        self.meanings: dict[SignalWord, Meaning] = {}
        for row in list_of_rows(file, document, "meaning", "word"):
            cited(row, facts)
            word = row.pick("word", SIGNAL_WORDS)
            self.meanings[word] = Meaning(name=row.text("word"), says=row.text("says"))
            row.finish()
        if set(self.meanings) != set(SignalWord):
            raise RulebookError(f"{file}, meaning: every signal word needs its row.")
        top = Row(file, "least", document)
        least = top.table("least")
        self.least = {CONSEQUENCES[name]: least.pick(name, SIGNAL_WORDS) for name in CONSEQUENCES}
        self.for_hv = least.pick("hv_flag", SIGNAL_WORDS)
        least.finish()
        top.take("meaning")
        top.finish()
