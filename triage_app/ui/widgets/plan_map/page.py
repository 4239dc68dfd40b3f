"""The underside map of a case, as a page shows it."""

import streamlit as st

from rules import CaseAssessment
from triage_app.domain.case import Case, Finding
from triage_app.domain.findings import lies_on_impact_line, place_on_plan
from triage_app.domain.ids import CaseId, FindingId
from triage_app.domain.permissions import Action, may
from triage_app.imaging.underside import PlanTag, tags_apart, tags_svg, underside_svg
from triage_app.ui import map_text, state
from triage_app.ui.names import finding_name
from triage_app.ui.widgets.finding_list import choose_finding
from triage_app.ui.widgets.plan_map.widget import Ends, MapTag, plan_map
from triage_app.ui.wiring import operator, rulebook, services

# Tags on a map that fills a third of the page: letters of at least 13 px.
_TAG_SCALE = 1.25


def underside_map(
    case: Case, assessment: CaseAssessment, *, chosen: FindingId | None = None
) -> None:
    """Show every finding that has a place, folded away; a tap on its tag goes to it."""
    with st.expander(map_text.MAP):
        st.caption(map_text.MAP_HINT)
        placed = [
            (finding, place)
            for finding in case.open_findings
            if (place := place_on_plan(case, finding)) is not None
        ]
        tags = tags_apart(
            [_tag(finding, place, assessment) for finding, place in placed], tag_scale=_TAG_SCALE
        )
        labels = {zone: one.label for zone, one in rulebook().zones.items()}
        plan_map(
            key=f"map-{case.id}",
            svg=underside_svg(zone_labels=labels),
            tags_svg=tags_svg(tags, tag_scale=_TAG_SCALE),
            tags=[
                MapTag(
                    finding_id=finding.id,
                    name=finding_name(finding),
                    x_frac=tag.shown_x_frac or tag.x_frac,
                    y_frac=tag.shown_y_frac or tag.y_frac,
                )
                for (finding, _), tag in zip(placed, tags, strict=True)
            ],
            chosen=chosen,
            line=case.impact_line,
            may_draw=may(operator().roles, Action.MARK),
            on_choose=lambda finding_id: choose_finding(case.finding(finding_id)),
            on_line=lambda ends: _draw_line(case.id, ends),
        )
        if case.impact_line is not None and may(operator().roles, Action.REVIEW_FINDING):
            st.text_input(map_text.WHY, key=_why_key(case.id))
        for line in _said(case, {finding.id for finding, _ in placed}):
            st.markdown(line)


def _tag(finding: Finding, place: tuple[float, float], assessment: CaseAssessment) -> PlanTag:
    return PlanTag(
        number=finding.number,
        risk=assessment.of(finding.id).risk,
        x_frac=place[0],
        y_frac=place[1],
        zone=finding.tags.zone,
    )


def _said(case: Case, placed: set[FindingId]) -> list[str]:
    """Return what the drawing alone does not say: who has no place, and what the line touches."""
    lines = []
    nowhere = [one.number for one in case.open_findings if one.id not in placed]
    if nowhere:
        lines.append(map_text.without_place(nowhere))
    if case.impact_line is not None:
        touched = [one.number for one in case.open_findings if lies_on_impact_line(case, one)]
        lines.append(map_text.on_the_line(touched, case.impact_line.signed.by))
    return lines


def _draw_line(case_id: CaseId, ends: Ends | None) -> None:
    why = state.typed(_why_key(case_id))
    services().photos.draw_impact_line(case_id, ends, by=operator(), reason=why)


def _why_key(case_id: CaseId) -> str:
    return f"line-why-{case_id}"
