"""The inspection checklist, zone by zone: what was seen, and why what was not."""

from collections import Counter
from dataclasses import dataclass
from html import escape

import streamlit as st

from rules import ZoneId
from triage_app.domain.case import Case
from triage_app.domain.inspection.checklist import (
    Checklist,
    ItemStanding,
    KindOfPart,
    Unexplained,
    ZoneList,
)
from triage_app.domain.inspection.entries import Item, ItemState
from triage_app.ui import gate_text as words
from triage_app.ui import state
from triage_app.ui.markdown import as_typed
from triage_app.ui.names import shown_time
from triage_app.ui.widgets.case_frame import open_case
from triage_app.ui.widgets.expected_photos import expected_photos
from triage_app.ui.widgets.notices import next_step, refusals_kept, show_notices
from triage_app.ui.wiring import operator, services

_TAPS = (ItemState.NO_VISIBLE_DAMAGE, ItemState.NOT_ACCESSIBLE, ItemState.NOT_INSPECTED)
_UNSEEN = (ItemState.NOT_ACCESSIBLE, ItemState.NOT_INSPECTED)
_BY_THEMSELVES = ("Battery", "HV cables and connectors", "HV units")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Looking:
    """What goes for every tap in a zone: whether covers were off, and the field that says why."""

    covers_off: bool | None = None
    why: str


def show() -> None:
    case = open_case().case
    listed = services().inspection.checklist(case)
    left = services().inspection.unexplained(case)
    show_notices()
    st.title(words.PAGE_CHECKLIST, anchor=False)
    next_step(words.CHECKLIST_NEXT if left else words.CHECKLIST_DONE)
    st.html(_counts(listed, left))
    if listed.unplaced:
        st.warning(words.UNPLACED)
    zone = _zone(case, listed)
    if zone is not None:
        _zone_rows(case, zone)
    expected_photos(case, listed.photos)
    _unexplained(case, listed, left)


def _counts(listed: Checklist, left: tuple[Unexplained, ...]) -> str:
    parts = [
        f"<li><b>{words.MARKS[each]} {len(listed.in_state(each))}</b> "
        f"{escape(words.STATES[each].lower())}</li>"
        for each in ItemState
    ]
    return (
        f'<ul class="ub-tally">{"".join(parts)}</ul><p class="ub-quiet">'
        f"{escape(words.left(len(left)))}. {escape(words.NO_FINDING)}</p>"
    )


def _zone(case: Case, listed: Checklist) -> ZoneList | None:
    zones = {one.zone: one for one in listed.zones}
    if not zones:
        return None

    def label(zone: ZoneId) -> str:
        items = zones[zone].items
        return f"{zones[zone].label} {sum(_is_settled(one) for one in items)}/{len(items)}"

    first = next((one.zone for one in listed.zones if not all(map(_is_settled, one.items))), None)
    chosen = st.pills(
        words.ZONE,
        list(zones),
        default=first or listed.zones[0].zone,
        format_func=label,
        key=f"checklist-zone-{case.id}",
    )
    return zones.get(chosen) if chosen else None


def _is_settled(one: ItemStanding) -> bool:
    return one.is_explained and not one.is_contradicted and not one.lacks_finding


def _zone_rows(case: Case, zone: ZoneList) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        covers = st.segmented_control(
            words.COVERS,
            list(words.COVERS_WORDS),
            default=None,
            format_func=words.COVERS_WORDS.__getitem__,
            key=f"checklist-covers-{case.id}-{zone.zone}",
        )
        why = f"checklist-why-{case.id}-{zone.zone}"
        st.text_input(words.WHY_NOT, key=why)
    how = _Looking(covers_off=covers, why=why)
    for kind in zone.kinds:
        _kind_row(case, zone, kind, how)
    open_items = tuple(one.item for one in zone.items if one.entry is None and not one.findings)
    if open_items:
        with st.container(
            key="ub-check-rest", horizontal=True, vertical_alignment="center", gap="small"
        ):
            st.markdown(f"**{words.REST_OF_ZONE}** ({len(open_items)})", width="stretch")
            for each in _UNSEEN:
                _tap(case, open_items, each, _Looking(why=how.why), f"rest-{zone.zone}")
    _rest_seen(case, zone, how)
    if st.toggle(words.ONE_BY_ONE, key=f"checklist-single-{case.id}-{zone.zone}"):
        for one in zone.items:
            _item_row(case, one, how)


def _rest_seen(case: Case, zone: ZoneList, how: _Looking) -> None:
    """One tap for what was seen and is neither battery nor high voltage; these go by themselves."""
    rest = tuple(
        one.item
        for kind in zone.kinds
        if kind.kind not in _BY_THEMSELVES
        for one in kind.items
        if one.entry is None and not one.findings
    )
    if rest:
        with st.container(
            key="ub-check-seen", horizontal=True, vertical_alignment="center", gap="small"
        ):
            st.markdown(f"**{words.REST_SEEN}** ({len(rest)})", width="stretch")
            _tap(case, rest, ItemState.NO_VISIBLE_DAMAGE, how, f"rest-{zone.zone}")


def _rest_of_car(case: Case, listed: Checklist) -> None:
    """One reason for everything in every zone of which nobody wrote anything."""
    rest = tuple(one.item for one in listed.items if one.entry is None and not one.findings)
    if not rest:
        return
    why = f"checklist-why-car-{case.id}-{len(case.inspection)}"
    st.text_input(words.WHY_REST_OF_CAR, key=why)
    with st.container(
        key="ub-check-car", horizontal=True, vertical_alignment="center", gap="small"
    ):
        st.markdown(f"**{words.REST_OF_CAR}** ({len(rest)})", width="stretch")
        for each in _UNSEEN:
            _tap(case, rest, each, _Looking(why=why), "car")


def _kind_row(case: Case, zone: ZoneList, kind: KindOfPart, how: _Looking) -> None:
    name = kind.kind.replace(" ", "-")
    with st.container(
        key=f"ub-check-{zone.zone}-{name}",
        horizontal=True,
        vertical_alignment="center",
        gap="small",
    ):
        st.markdown(f"**{kind.kind}**  \n{_kind_words(kind)}", width="stretch")
        whole = tuple(one.item for one in kind.items if not one.findings)
        if whole:
            for each in _TAPS:
                shown = kind.state if all(one.entry for one in kind.items) else None
                _tap(case, whole, each, how, f"{zone.zone}-{name}", shown=shown)


def _item_row(case: Case, one: ItemStanding, how: _Looking) -> None:
    name = f"{one.item.zone}-{one.item.component}"
    with st.container(
        key=f"ub-check-one-{name}", horizontal=True, vertical_alignment="center", gap="small"
    ):
        st.markdown(f"{words.MARKS[one.state]} {as_typed(one.label)}  \n{_item_words(one)}")
        if not one.findings:
            for each in _TAPS:
                shown = one.state if one.entry else None
                _tap(case, (one.item,), each, how, f"one-{name}", shown=shown)


def _tap(
    case: Case,
    items: tuple[Item, ...],
    to: ItemState,
    how: _Looking,
    key: str,
    *,
    shown: ItemState | None = None,
) -> None:
    st.button(
        words.STATES[to],
        key=f"check-{key}-{to.name}",
        type="primary" if shown is to else "secondary",
        on_click=_inspect,
        args=(case, items, to, how),
    )


def _inspect(case: Case, items: tuple[Item, ...], to: ItemState, how: _Looking) -> None:
    with refusals_kept():
        services().inspection.inspect(
            case.id,
            items,
            to,
            by=operator(),
            reason="" if to.was_seen else state.typed(how.why),
            covers_off=how.covers_off if to.was_seen else None,
        )


def _kind_words(kind: KindOfPart) -> str:
    by_state = Counter(one.state for one in kind.items)
    parts = [f"{words.MARKS[each]} {by_state[each]}" for each in ItemState if by_state[each]]
    names = ", ".join(one.label for one in kind.items)
    doubts = {
        *(words.CONTRADICTED for one in kind.items if one.is_contradicted),
        *(words.LACKS_FINDING for one in kind.items if one.lacks_finding),
    }
    return as_typed(" · ".join(["  ".join(parts), names, *sorted(doubts)]))


def _item_words(one: ItemStanding) -> str:
    parts = [words.STATES[one.state]]
    if one.findings:
        parts.append(", ".join(f"finding {each.number}" for each in one.findings))
    if one.said is not None and one.entry is not None:
        parts += [one.said.reason] if one.said.reason else []
        parts.append(f"{one.entry.recorded.by}, {shown_time(one.entry.recorded.at)}")
    return as_typed(" · ".join(parts))


def _unexplained(case: Case, listed: Checklist, left: tuple[Unexplained, ...]) -> None:
    if not left:
        return
    with st.expander(f"{words.UNEXPLAINED} ({len(left)})"):
        _rest_of_car(case, listed)
        rows = "".join(f"<li>{escape(one.what)}: {escape(one.why)}</li>" for one in left)
        st.html(f'<ul class="ub-list">{rows}</ul>')
