"""Sizes of the selected finding's mark, read from a scale on the photo, and their way onto it."""

from collections.abc import Sequence
from html import escape

import streamlit as st

from triage_app.domain.case import Case, Finding, Mark, Photo
from triage_app.domain.errors import NoScaleError
from triage_app.domain.findings import outline_changed
from triage_app.domain.measuring import MAX_DEPTH_MM, Size
from triage_app.domain.scale import DESIGN_SIDE_MM, CardKind
from triage_app.imaging.card_sheet import PAPER_MM
from triage_app.imaging.plane_sizes import Depth
from triage_app.services.measuring import MarkSizes, typed_sizes
from triage_app.ui import measure_text, state
from triage_app.ui.markdown import as_typed
from triage_app.ui.picture_links import card_link
from triage_app.ui.widgets.notices import refusals_kept
from triage_app.ui.wiring import operator, services

_SIZES = (Size.LENGTH, Size.WIDTH)


def measure_panel(case: Case, finding: Finding, photo: Photo) -> None:
    """Draw a switch; the photo is measured only once it is on, because that reads all of it."""
    if not st.toggle(measure_text.MEASURE, key=f"measure-{finding.id}"):
        return
    _card_safety(case, photo)
    mark = _mark_here(finding, photo)
    if mark is None:
        st.caption(measure_text.NO_MARK_HERE)
        return
    if any(outline_changed(finding, source) for source in finding.tags.measures.sources):
        st.warning(measure_text.CHANGED)
    behind_mm = _depth(measure_text.BEHIND, f"behind-{mark.id}")
    try:
        _measured(case, finding, photo, mark, behind_mm)
    except NoScaleError as error:
        st.info(as_typed(str(error)))
    _cards()


def _card_safety(case: Case, photo: Photo) -> None:
    st.caption(measure_text.CARD_SAFETY)
    record = services().safing.status(case)
    told = measure_text.against_record(case.really_taken_at(photo), record)
    if told:
        st.warning(told)


def _measured(
    case: Case, finding: Finding, photo: Photo, mark: Mark, behind_mm: float | None
) -> None:
    hv_mm = None
    if photo.orange_areas:
        hv_mm = _depth(measure_text.HV_WITHIN, f"hv-within-{mark.id}")
        st.caption(measure_text.HV_HINT)
    else:
        st.caption(measure_text.NO_ORANGE)
    sizes = services().measuring.sizes_of(
        photo,
        mark,
        depth=Depth(behind_mm=behind_mm or 0.0),
        hv_depth=None if hv_mm is None else Depth(behind_mm=hv_mm, before_mm=hv_mm),
    )
    for caution in sizes.cautions:
        st.warning(caution)
    st.markdown(measure_text.length("Length", sizes.sizes.length))
    st.markdown(measure_text.length("Width", sizes.sizes.width))
    st.markdown(measure_text.area(sizes.sizes.area))
    if sizes.near_hv is not None:
        st.markdown(measure_text.length("Way to HV", sizes.near_hv))
    st.caption(f"{measure_text.ALL_95} {measure_text.RESTS_ON}: {as_typed(sizes.scale)}.")
    _use(case, finding, sizes, has_depth=behind_mm is not None)


def _use(case: Case, finding: Finding, sizes: MarkSizes, *, has_depth: bool) -> None:
    if state.draft_of(finding.id):
        st.caption(measure_text.SAVE_FIRST)
        return
    if not has_depth:
        st.caption(measure_text.SAY_DEPTH)
    _use_button(case, finding, sizes, _SIZES, measure_text.USE_SIZES, disabled=not has_depth)
    if sizes.near_hv is not None:
        way = (Size.DISTANCE_TO_HV,)
        _use_button(case, finding, sizes, way, measure_text.USE_DISTANCE, disabled=False)


def _use_button(
    case: Case,
    finding: Finding,
    sizes: MarkSizes,
    which: Sequence[Size],
    label: str,
    *,
    disabled: bool,
) -> None:
    typed = typed_sizes(finding.tags.measures, which)
    replace_typed = False
    if typed:
        replace_typed = st.checkbox(
            f"{measure_text.REPLACE}: {', '.join(typed)}",
            key=f"replace-{finding.id}-{which[0]}-{finding.revision}",
        )
    st.button(
        label,
        key=f"use-{finding.id}-{which[0]}",
        disabled=disabled or (bool(typed) and not replace_typed),
        on_click=_put,
        args=(case, finding, sizes, which, replace_typed),
        width="stretch",
    )


def _put(
    case: Case,
    finding: Finding,
    sizes: MarkSizes,
    which: Sequence[Size],
    replace_typed: bool,  # noqa: FBT001 - Streamlit passes arguments of a callback by position
) -> None:
    with refusals_kept():
        services().measuring.use_sizes(
            case.id,
            finding.id,
            sizes,
            which,
            expected_revision=finding.revision,
            by=operator(),
            replace_typed=replace_typed,
        )
        state.drop_draft(finding.id)
        state.notify(measure_text.USED)


def _cards() -> None:
    with st.expander(measure_text.CARDS):
        st.caption(measure_text.CARDS_HINT)
        for paper in PAPER_MM:
            label = escape(measure_text.print_label(paper))
            st.html(f'<a class="ub-button" href="{card_link(paper)}">{label}</a>')
        known = services().scale_records.card_sides()
        for kind, design_mm in DESIGN_SIDE_MM.items():
            side = known.get(kind)
            st.number_input(
                measure_text.side_label(kind),
                min_value=0.0,
                max_value=2 * design_mm,
                value=side.side_mm if side else None,
                step=0.1,
                format="%.1f",
                key=_side_key(kind),
            )
        st.button(measure_text.SAVE_SIDE, on_click=_save_sides)


def _save_sides() -> None:
    with refusals_kept():
        for kind in CardKind:
            side_mm = state.field_value(_side_key(kind))
            if isinstance(side_mm, float):
                services().scale_records.record_card_side(kind, side_mm, by=operator())
        state.notify(measure_text.SIDE_SAVED)


def _side_key(kind: CardKind) -> str:
    return f"card-side-{kind}"


def _depth(label: str, key: str) -> float | None:
    return st.number_input(
        label, min_value=0.0, max_value=MAX_DEPTH_MM, value=None, step=1.0, format="%.0f", key=key
    )


def _mark_here(finding: Finding, photo: Photo) -> Mark | None:
    """Return the selected mark where it is on this photo, else the finding's first one there."""
    here = [mark for mark in finding.marks if mark.photo_id == photo.id]
    chosen = [mark for mark in here if mark.id == state.selected_mark()]
    return next(iter(chosen or here), None)
