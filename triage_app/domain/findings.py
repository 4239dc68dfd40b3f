"""Finding -> rules.Facts: the last place that knows about photos."""

from rules import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    CaseFacts,
    Facts,
    VehicleFacts,
)
from triage_app.domain.admission.status import signs_of
from triage_app.domain.case import Case, Finding
from triage_app.domain.evidence_standing import counted_evidence
from triage_app.domain.geometry import gap_px
from triage_app.domain.inspection.checklist import battery_seen_whole
from triage_app.domain.inspection.items import Components
from triage_app.domain.measuring import FromPhoto, Size
from triage_app.domain.plan_view import place_of

# A mark this near to a proposed orange area, as a share of the photo's longer side, counts as
# near an orange cable. Judgement: a hand's width on an overview, erring to the near side.
NEAR_ORANGE_FRAC = 0.05


def facts_from(case: Case, finding: Finding) -> Facts:
    """Return the plain facts of one finding; what nobody said stays None and counts as worse."""
    tags, measures = finding.tags, finding.tags.measures
    distance_mm = _counted_mm(finding, Size.DISTANCE_TO_HV)
    return Facts(
        finding_id=finding.id,
        component=tags.component or UNIDENTIFIED_COMPONENT,
        damage=tags.damage or UNIDENTIFIED_DAMAGE,
        zone=tags.zone,
        side=tags.side,
        length_mm=_counted_mm(finding, Size.LENGTH),
        width_mm=_counted_mm(finding, Size.WIDTH),
        depth_mm=measures.depth_mm,
        distance_to_hv_mm=distance_mm,
        distance_uncertainty_mm=measures.distance_uncertainty_mm,
        covers_off=measures.covers_off,
        hv_conductor_visible=tags.hv_conductor_visible,
        hangs_free=tags.hangs_free,
        near_orange_area=is_near_orange(case, finding),
        on_impact_line=lies_on_impact_line(case, finding),
    )


def outline_changed(finding: Finding, source: FromPhoto) -> bool:
    """Tell whether the mark that a size was measured at was reshaped or taken off since."""
    return not any(
        mark.id == source.mark_id and mark.revision == source.mark_revision
        for mark in finding.marks
    )


def _counted_mm(finding: Finding, size: Size) -> float | None:
    """Return the size that counts: typed as it is, from a photo the end that is worse.

    Where the outline is no longer the one that was measured, the size is not known any more.
    """
    measures = finding.tags.measures
    value_mm: float | None = getattr(measures, size.value)
    source = measures.source_of(size)
    if source is None:
        return value_mm
    if outline_changed(finding, source):
        return None
    # The distance less its uncertainty is what the rules ask; sizes they take as they come.
    return value_mm if size is Size.DISTANCE_TO_HV else source.high_mm


def case_facts(case: Case, components: Components | None = None) -> CaseFacts:
    """Return the facts of the vehicle, of every finding that counts, and of what was tested.

    ``components`` are those of the rule book: without them nobody can tell which items of the
    checklist are the battery's, and it counts as not seen whole.
    """
    return CaseFacts(
        vehicle=VehicleFacts(
            system_voltage_v=case.vehicle.system_voltage_v,
            powertrain=case.vehicle.powertrain,
            signs=signs_of(case),
            battery_seen_whole=battery_seen_whole(case, components) if components else None,
        ),
        findings=tuple(facts_from(case, finding) for finding in case.open_findings),
        evidence=counted_evidence(case),
    )


def place_on_plan(case: Case, finding: Finding) -> tuple[float, float] | None:
    """Return x and y of a finding on the plan of the underside, or None where it has no place."""
    tags = finding.tags
    pins = [case.photo(mark.photo_id).plan_pin for mark in finding.marks]
    pin = next((pin for pin in pins if pin and pin.zone == tags.zone), None)
    return place_of(tags.zone, tags.side, pin)


def lies_on_impact_line(case: Case, finding: Finding) -> bool | None:
    """Return True where the drawn line touches the finding, else None: the line never clears.

    A finding without a zone may lie anywhere, so the line says nothing of it either; the rules
    take that as worse by the other findings along one line of travel.
    """
    line = case.impact_line
    is_on = line is not None and line.touches(finding.tags.zone, finding.tags.side)
    return True if is_on else None


def is_near_orange(case: Case, finding: Finding) -> bool:
    """Tell whether any mark touches, or comes near to, an area that looks like orange cable."""
    for mark in finding.marks:
        photo = case.photo(mark.photo_id)
        reach_px = NEAR_ORANGE_FRAC * max(photo.width_px, photo.height_px)
        for area in photo.orange_areas:
            if gap_px(mark.outline, area, photo.width_px, photo.height_px) <= reach_px:
                return True
    return False
