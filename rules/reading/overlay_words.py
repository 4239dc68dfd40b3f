"""Words of a shop's overlay: parts, damage types, more names, where HV is too, actions, sources.

A part or damage type of the shop is *like* one of ours and takes kind, role and family from it, so
no row of ours that speaks of the model can miss it. The shop can only add to that.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TypeVar

from rules.model import Action, Component, DamageType, OpenTest, Source, Zone
from rules.overlay import Change, ChangeKind
from rules.reading.judgements import Words
from rules.reading.overlay_names import (
    names_of,
    refuse_hidden,
    refuse_hv_by_name,
    refuse_taken,
    refuse_worse_by_name,
)
from rules.reading.overlay_rows import ShopFile, shop_word
from rules.reading.rows import Row
from rules.reading.words import read_action, read_fact, read_open_test, read_source
from rules.rulebook import Fact, Rulebook
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    ActionId,
    ComponentId,
    DamageId,
    OpenTestId,
    Origin,
    SourceId,
    ZoneId,
)

_V = TypeVar("_V", Action, OpenTest, Source)


@dataclass(slots=True)
class _Vocabulary:
    """Ours, to which the shop's words are added one by one."""

    components: dict[ComponentId, Component]
    damage_types: dict[DamageId, DamageType]
    zones: dict[ZoneId, Zone]
    changes: list[Change] = field(default_factory=list)

    def note(self, kind: ChangeKind, row: Row, says: str) -> None:
        self.changes.append(Change(kind=kind, row=row.name, says=says))


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopWords:
    """The words of ours and of the shop together, and what the shop's rows change."""

    words: Words
    zones: Mapping[ZoneId, Zone]
    sources: Mapping[SourceId, Source]
    changes: tuple[Change, ...]


def read_words(file: ShopFile, ours: Rulebook) -> ShopWords:
    """Return all words; RulebookError names file, row and field of one that is not allowed."""
    both = _Vocabulary(dict(ours.components), dict(ours.damage_types), dict(ours.zones))
    sources, facts = _sources(file, ours, both)
    _near_hv(file, both)
    _parts(file, ours, both)
    _damage_types(file, ours, both)
    actions, tests = _actions(file, ours, both), _tests(file, ours, both)
    return ShopWords(
        words=Words(
            components=MappingProxyType(both.components),
            damage_types=MappingProxyType(both.damage_types),
            actions=actions,
            open_tests=tests,
            facts=facts,
        ),
        zones=MappingProxyType(both.zones),
        sources=sources,
        changes=tuple(both.changes),
    )


def _sources(
    file: ShopFile, ours: Rulebook, both: _Vocabulary
) -> tuple[Mapping[SourceId, Source], Mapping[str, Fact]]:
    sources, facts = dict(ours.sources), dict(ours.facts)
    for row in file.rows("source"):
        shop_word(row)
        source = _shops(read_source(row))
        sources[source.id] = source
        both.note(ChangeKind.ADDS, row, f"source: {source.title} ({source.status.value})")
    for row in file.rows("fact"):
        shop_word(row)
        fact = read_fact(row, sources)
        facts[fact.id] = fact
        both.note(ChangeKind.ADDS, row, f"fact: {fact.citation.says}")
    return MappingProxyType(sources), MappingProxyType(facts)


def _near_hv(file: ShopFile, both: _Vocabulary) -> None:
    """Read where the shop says that high voltage is too; the other way round has no row."""
    for row in file.rows("near_hv_part"):
        row.known("component", (row.name,), both.components)
        part = both.components[ComponentId(row.name)]
        because = row.text("because")
        row.finish()
        if part.hv_runs_behind:
            raise row.fault("component", "the book says so already.")
        both.components[part.id] = replace(part, hv_runs_behind=True)
        both.note(ChangeKind.TIGHTENS, row, f"high voltage runs behind it: {because}")
    for row in file.rows("near_hv_zone"):
        row.known("zone", (row.name,), both.zones)
        zone = both.zones[ZoneId(row.name)]
        because = row.text("because")
        row.finish()
        if zone.hv_runs_here:
            raise row.fault("zone", "the book says so already.")
        both.zones[zone.id] = replace(zone, hv_runs_here=True)
        both.note(ChangeKind.TIGHTENS, row, f"high voltage runs here: {because}")


def _parts(file: ShopFile, ours: Rulebook, both: _Vocabulary) -> None:
    for row in file.rows("component"):
        part = _part(row, ours, both)
        _refuse_part_names(row, "synonyms", names_of(part), part, both)
        refuse_hidden(
            row, "synonyms", names_of(part), ours.components, {**both.components, part.id: part}
        )
        both.components[part.id] = part
        behind = "; high voltage runs behind it" if part.hv_runs_behind else ""
        both.note(ChangeKind.ADDS, row, f"part: {part.label}, like {part.like}{behind}")
    for row in file.rows("component_names"):
        row.known("component", (row.name,), ours.components)
        part = both.components[ComponentId(row.name)]
        if part.id == UNIDENTIFIED_COMPONENT:
            raise row.fault("component", "a part that nobody identified takes no more names.")
        added = row.some("add")
        row.finish()
        _refuse_part_names(row, "add", added, part, both)
        more = replace(part, synonyms=(*part.synonyms, *added))
        refuse_hidden(row, "add", added, ours.components, {**both.components, part.id: more})
        both.components[part.id] = more
        both.note(ChangeKind.ADDS, row, f"names: {', '.join(added)}")


def _part(row: Row, ours: Rulebook, both: _Vocabulary) -> Component:
    part_id = ComponentId(shop_word(row))
    row.known("like", (row.text("like"),), ours.components)
    like = ComponentId(row.text("like"))
    if like == UNIDENTIFIED_COMPONENT:
        raise row.fault("like", "must be a part that is identified.")
    model = both.components[like]
    row.known("zones", row.some("zones"), both.zones)
    says_behind = row.flag("hv_runs_behind") if row.has("hv_runs_behind") else model.hv_runs_behind
    if model.hv_runs_behind and not says_behind:
        raise row.fault("hv_runs_behind", f"cannot be false: it is true of '{model.id}'.")
    part = replace(
        model,
        id=part_id,
        label=row.text("label"),
        description=row.text("description"),
        hv_runs_behind=says_behind,
        zones=tuple(ZoneId(name) for name in row.some("zones")),
        synonyms=row.some("synonyms"),
        like=model.id,
        origin=Origin.SHOP,
    )
    for given in ("is_hv", "role", "group"):
        if row.has(given):
            raise row.fault(given, "follows from 'like' and is not written down.")
    row.finish()
    return part


def _refuse_part_names(
    row: Row, where: str, names: tuple[str, ...], part: Component, both: _Vocabulary
) -> None:
    refuse_taken(row, where, names, part.id, both.components.values())
    refuse_hv_by_name(row, where, names, part, both.components.values())


def _damage_types(file: ShopFile, ours: Rulebook, both: _Vocabulary) -> None:
    for row in file.rows("damage_type"):
        damage = _damage(row, ours)
        _refuse_damage_names(row, "synonyms", names_of(damage), damage, both)
        with_it = {**both.damage_types, damage.id: damage}
        refuse_hidden(row, "synonyms", names_of(damage), ours.damage_types, with_it)
        both.damage_types[damage.id] = damage
        both.note(ChangeKind.ADDS, row, f"damage type: {damage.label}, like {damage.like}")
    for row in file.rows("damage_names"):
        row.known("damage", (row.name,), ours.damage_types)
        damage = both.damage_types[DamageId(row.name)]
        if damage.id == UNIDENTIFIED_DAMAGE:
            raise row.fault("damage", "damage that nobody identified takes no more names.")
        added = row.some("add")
        row.finish()
        _refuse_damage_names(row, "add", added, damage, both)
        more = replace(damage, synonyms=(*damage.synonyms, *added))
        refuse_hidden(row, "add", added, ours.damage_types, {**both.damage_types, damage.id: more})
        both.damage_types[damage.id] = more
        both.note(ChangeKind.ADDS, row, f"names: {', '.join(added)}")


def _damage(row: Row, ours: Rulebook) -> DamageType:
    damage_id = DamageId(shop_word(row))
    row.known("like", (row.text("like"),), ours.damage_types)
    like = DamageId(row.text("like"))
    if like == UNIDENTIFIED_DAMAGE:
        raise row.fault("like", "must be damage that is identified.")
    damage = replace(
        ours.damage_types[like],
        id=damage_id,
        label=row.text("label"),
        description=row.text("description"),
        synonyms=row.some("synonyms"),
        like=like,
        origin=Origin.SHOP,
    )
    for given in ("family", "measures"):
        if row.has(given):
            raise row.fault(given, "follows from 'like' and is not written down.")
    row.finish()
    return damage


def _refuse_damage_names(
    row: Row, where: str, names: tuple[str, ...], damage: DamageType, both: _Vocabulary
) -> None:
    refuse_taken(row, where, names, damage.id, both.damage_types.values())
    refuse_worse_by_name(row, where, names, damage, both.damage_types.values())


def _actions(file: ShopFile, ours: Rulebook, both: _Vocabulary) -> Mapping[ActionId, Action]:
    actions = dict(ours.actions)
    first = min(action.order for action in ours.actions.values() if action.is_safing)
    for row in file.rows("action"):
        shop_word(row)
        action = _shops(read_action(row))
        if action.order <= first:
            raise row.fault("order", f"must be more than {first}: the maker's procedure is first.")
        taken = [other.id for other in actions.values() if other.order == action.order]
        if taken:
            raise row.fault("order", f"{action.order} is also that of {taken[0]}.")
        actions[action.id] = action
        safing = "mandatory safing" if action.is_safing else "action"
        both.note(ChangeKind.ADDS, row, f"{safing}: {action.text}")
    return MappingProxyType(actions)


def _tests(file: ShopFile, ours: Rulebook, both: _Vocabulary) -> Mapping[OpenTestId, OpenTest]:
    tests = dict(ours.open_tests)
    for row in file.rows("open_test"):
        shop_word(row)
        test = _shops(read_open_test(row))
        tests[test.id] = test
        both.note(ChangeKind.ADDS, row, f"test: {test.text} ({test.by})")
    return MappingProxyType(tests)


def _shops(row: _V) -> _V:
    return replace(row, origin=Origin.SHOP)
