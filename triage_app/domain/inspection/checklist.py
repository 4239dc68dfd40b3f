"""The checklist as it stands: each item with its state, and what nobody has explained yet.

"Damaged" follows from the findings. What nobody wrote down is not inspected.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rules import Rulebook, ZoneId
from triage_app.domain.case import Case, Finding
from triage_app.domain.ids import PhotoId
from triage_app.domain.inspection.entries import (
    ExpectedPhoto,
    InspectionEntry,
    Item,
    ItemsInspected,
    ItemState,
    PhotosPointedAt,
)
from triage_app.domain.inspection.items import (
    BATTERY_GROUPS,
    KINDS,
    OTHER_PARTS,
    Components,
    items_of,
    items_with,
    kind_of,
    zones_in_order,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemStanding:
    """One item as it stands. ``entry`` is the last about it, or None where nobody wrote any.

    ``findings`` are the open ones about it; with any of them the state is "damaged".
    """

    item: Item
    label: str
    state: ItemState
    entry: InspectionEntry | None
    findings: tuple[Finding, ...]

    @property
    def said(self) -> ItemsInspected | None:
        """What the last entry says, or None where nobody wrote anything."""
        what = self.entry.what if self.entry else None
        return what if isinstance(what, ItemsInspected) else None

    @property
    def is_contradicted(self) -> bool:
        """True where somebody saw no damage and a finding says otherwise."""
        said = self.said
        return bool(self.findings) and bool(said and said.state is ItemState.NO_VISIBLE_DAMAGE)

    @property
    def lacks_finding(self) -> bool:
        """True where somebody saw damage and no finding says which."""
        return self.state is ItemState.DAMAGED and not self.findings

    @property
    def is_explained(self) -> bool:
        """True where it was seen, or where somebody wrote why it was not."""
        return self.state.was_seen or bool(self.said and self.said.reason)


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfPart:
    """The items of one kind at one place: one row of the list, worked through in one look."""

    kind: str
    items: tuple[ItemStanding, ...]

    @property
    def state(self) -> ItemState | None:
        """The state that all of them share, or None where they differ."""
        states = {one.state for one in self.items}
        return next(iter(states)) if len(states) == 1 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneList:
    """Everything to be looked at in one zone."""

    zone: ZoneId
    label: str
    kinds: tuple[KindOfPart, ...]

    @property
    def items(self) -> tuple[ItemStanding, ...]:
        return tuple(item for kind in self.kinds for item in kind.items)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoStanding:
    """One photo that an insurer expects: the photos that show it, or why there is none."""

    expected: ExpectedPhoto
    photo_ids: tuple[PhotoId, ...] = ()
    reason: str = ""
    entry: InspectionEntry | None = None

    @property
    def is_settled(self) -> bool:
        return bool(self.photo_ids or self.reason)


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """The whole list in walking order. ``unplaced`` are findings of a part that nobody named."""

    zones: tuple[ZoneList, ...]
    photos: tuple[PhotoStanding, ...]
    unplaced: tuple[Finding, ...]

    @property
    def items(self) -> tuple[ItemStanding, ...]:
        return tuple(item for zone in self.zones for item in zone.items)

    def in_state(self, state: ItemState) -> tuple[ItemStanding, ...]:
        return tuple(one for one in self.items if one.state is state)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unexplained:
    """Something on the list that has to be explained before release: what, and why."""

    what: str
    why: str


def checklist_of(case: Case, book: Rulebook) -> Checklist:
    """Return the checklist of this car as it stands."""
    last = _last_entries(case)
    by_item: defaultdict[Item, list[Finding]] = defaultdict(list)
    unplaced = []
    for finding in case.open_findings:
        about = items_with(finding, book.components)
        for item in about:
            by_item[item].append(finding)
        if not about:
            unplaced.append(finding)
    by_zone: defaultdict[ZoneId, list[ItemStanding]] = defaultdict(list)
    for item in items_of(case, book.components):
        standing = _standing(item, last.get(item), by_item.get(item, ()), book.components)
        by_zone[item.zone].append(standing)
    known = zones_in_order(book.zones)
    order = (*known, *sorted(zone for zone in by_zone if zone not in known))
    return Checklist(
        zones=tuple(_zone(zone, by_zone[zone], book) for zone in order if by_zone[zone]),
        photos=tuple(_photo(case, expected) for expected in ExpectedPhoto),
        unplaced=tuple(unplaced),
    )


def unexplained(case: Case, book: Rulebook) -> tuple[Unexplained, ...]:
    """Return everything that has to be explained, or put right, before a report is released.

    That is each item not accessible or not inspected without a reason, each item where an entry
    and the findings disagree, each finding that could be at several places, and each expected
    photo without a photo or a reason.
    """
    listed = checklist_of(case, book)
    places = {zone.zone: zone.label for zone in listed.zones}
    return (
        *(
            Unexplained(
                what=f"Finding {finding.number}",
                why="nobody has said where it is, so no place of that part counts as looked at",
            )
            for finding in case.open_findings
            if len(items_with(finding, book.components)) > 1
        ),
        *(
            Unexplained(what=f"{places[one.item.zone]}: {one.label}", why=why)
            for one in listed.items
            if (why := _why_open(one))
        ),
        *(
            Unexplained(what=f"Photo: {one.expected}", why="no photo, and nobody said why")
            for one in listed.photos
            if not one.is_settled
        ),
    )


def battery_seen_whole(case: Case, components: Components) -> bool | None:
    """Tell whether a person saw every part of the battery, covers off, without visible damage.

    False where a finding is about the battery, None where anything was not seen or not said, or
    where a finding is about a part that nobody named.
    """
    battery = {
        item
        for item in items_of(case, components)
        if (known := components.get(item.component)) is not None and known.group in BATTERY_GROUPS
    }
    if any(items_with(finding, components) & battery for finding in case.open_findings):
        return False
    if any(not items_with(finding, components) for finding in case.open_findings):
        return None
    last = _last_entries(case)
    seen = [_says(last.get(item)) for item in battery]
    is_whole = bool(seen) and all(
        said is not None and said.state is ItemState.NO_VISIBLE_DAMAGE and said.covers_off is True
        for said in seen
    )
    return True if is_whole else None


def _last_entries(case: Case) -> Mapping[Item, InspectionEntry]:
    return {
        item: entry
        for entry in case.inspection
        if isinstance(entry.what, ItemsInspected)
        for item in entry.what.items
    }


def _says(entry: InspectionEntry | None) -> ItemsInspected | None:
    what = entry.what if entry else None
    return what if isinstance(what, ItemsInspected) else None


def _standing(
    item: Item,
    entry: InspectionEntry | None,
    findings: Iterable[Finding],
    components: Components,
) -> ItemStanding:
    found, said = tuple(findings), _says(entry)
    state = said.state if said else ItemState.NOT_INSPECTED
    known = components.get(item.component)
    return ItemStanding(
        item=item,
        label=known.label if known else item.component,
        state=ItemState.DAMAGED if found else state,
        entry=entry,
        findings=found,
    )


def _zone(zone: ZoneId, standings: list[ItemStanding], book: Rulebook) -> ZoneList:
    by_kind: defaultdict[str, list[ItemStanding]] = defaultdict(list)
    for one in sorted(standings, key=lambda one: (one.label, one.item)):
        by_kind[kind_of(book.components.get(one.item.component))].append(one)
    known = book.zones.get(zone)
    return ZoneList(
        zone=zone,
        label=known.label if known else zone,
        kinds=tuple(
            KindOfPart(kind=kind, items=tuple(by_kind[kind]))
            for kind in (*KINDS, OTHER_PARTS)
            if kind in by_kind
        ),
    )


def _photo(case: Case, expected: ExpectedPhoto) -> PhotoStanding:
    for entry in reversed(case.inspection):
        what = entry.what
        if isinstance(what, PhotosPointedAt) and what.expected is expected:
            return PhotoStanding(
                expected=expected, photo_ids=what.photo_ids, reason=what.reason, entry=entry
            )
    return PhotoStanding(expected=expected)


def _why_open(one: ItemStanding) -> str:
    if one.is_contradicted:
        numbers = ", ".join(str(finding.number) for finding in one.findings)
        return f"no visible damage was written, and finding {numbers} says otherwise"
    if one.lacks_finding:
        return "damage was seen, and no finding says which"
    return "" if one.is_explained else f"{one.state}, and nobody said why"
