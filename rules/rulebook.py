"""The loaded rule book: vocabulary, rules, texts and sources, ready to be asked."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules.model import (
    Action,
    ActionId,
    Component,
    ComponentId,
    DamageId,
    DamageType,
    OpenTest,
    OpenTestId,
    RulebookStamp,
    Source,
    SourceId,
    Zone,
    ZoneId,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rulebook:
    """Everything the tables say. Made by ``load_rulebook`` only; never half-loaded."""

    stamp: RulebookStamp
    components: Mapping[ComponentId, Component]
    damage_types: Mapping[DamageId, DamageType]
    zones: Mapping[ZoneId, Zone]
    actions: Mapping[ActionId, Action]
    open_tests: Mapping[OpenTestId, OpenTest]
    sources: Mapping[SourceId, Source]
