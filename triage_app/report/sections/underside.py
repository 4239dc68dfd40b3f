"""Where the findings lie: the drawn plan of the underside with all of them, and with one."""

from collections.abc import Sequence

from rules import ZoneId
from triage_app.domain.case import Finding
from triage_app.domain.findings import lies_on_impact_line, place_on_plan
from triage_app.domain.plan_view import PLAN_ZONES, WIDTH_TO_HEIGHT
from triage_app.imaging.underside import PlanTag, alt_text
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, heading, lead, link, words
from triage_app.report.model import Block, Box, Cell, Look, Paragraph, PlanPicture, Text
from triage_app.report.plain_text import one_line
from triage_app.report.subject import Subject, anchor_of

_HEIGHT_MM = 112.0
_PICTURE_FRAC = 0.34
# Tags as high as this on paper can be read; more of them than this need smaller ones.
_TAG_SCALE, _CROWDED_TAG_SCALE, _CROWD = 1.2, 0.9, 30
# Names of more findings than this would make the box taller than a page.
_MOST_NAMED = 20
_SMALL_TAG_SCALE = 3.0


def overview(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return the plan with every finding that has a place, and in words what it shows."""
    if not subject.findings:
        return []
    said: list[Paragraph] = [words(texts.PLAN_VIEW, Look.CELL), *_zones(subject)]
    said += [*_line(subject), *_without_place(subject)]
    picture = Paragraph(texts=(_whole_plan(subject),), look=Look.CELL)
    return [
        heading(2, "Where the findings lie", "plan_view"),
        Box(
            title="Plan of the underside, and the findings zone by zone",
            cells=(Cell(content=(picture,)), Cell(content=tuple(said))),
            width_fracs=(_PICTURE_FRAC, 1 - _PICTURE_FRAC),
            caption=numbering.next("Figure", "Plan view of the underside with all findings."),
        ),
    ]


def of_finding(subject: Subject, finding: Finding) -> PlanPicture | None:
    """Return the plan with one finding, not yet sized; None where it has no place."""
    tag = _tag(subject, finding)
    if tag is None or tag.zone is None:
        return None
    return PlanPicture(
        name=f"finding-{finding.number}-plan",
        tags=(tag,),
        emphasised=(tag.zone,),
        tag_scale=_SMALL_TAG_SCALE,
        alt=alt_text((tag,), _zone_labels(subject), emphasised=(tag.zone,)),
        width_mm=WIDTH_TO_HEIGHT,
        height_mm=1.0,
    )


def _whole_plan(subject: Subject) -> PlanPicture:
    tags = [tag for finding in subject.findings if (tag := _tag(subject, finding)) is not None]
    line = subject.case.impact_line
    return PlanPicture(
        name="plan-of-the-underside",
        tags=tuple(tags),
        line=None if line is None else (line.start, line.end),
        tag_scale=_TAG_SCALE if len(tags) <= _CROWD else _CROWDED_TAG_SCALE,
        alt=alt_text(tags, _zone_labels(subject), shows_line=line is not None),
        width_mm=_HEIGHT_MM * WIDTH_TO_HEIGHT,
        height_mm=_HEIGHT_MM,
    )


def _tag(subject: Subject, finding: Finding) -> PlanTag | None:
    place = place_on_plan(subject.case, finding)
    if place is None:
        return None
    return PlanTag(
        number=finding.number,
        risk=subject.of_finding(finding).risk,
        x_frac=place[0],
        y_frac=place[1],
        zone=finding.tags.zone,
    )


def _zone_labels(subject: Subject) -> dict[ZoneId, str]:
    return {zone: one.label for zone, one in subject.rulebook.zones.items()}


def _zones(subject: Subject) -> list[Paragraph]:
    """Return a line per zone that has findings, from front to rear."""
    names = _zone_labels(subject)
    lines = []
    for zone in PLAN_ZONES:
        here = [finding for finding in subject.findings if finding.tags.zone == zone.zone]
        if here:
            label = f"{names.get(zone.zone, zone.zone)}:"
            is_short = len(subject.findings) <= _MOST_NAMED
            lines.append(_named(label, here, subject if is_short else None))
    return lines


def _named(strong: str, findings: Sequence[Finding], subject: Subject | None = None) -> Paragraph:
    """Return the findings as links by number; with ``subject`` by name too."""
    parts = [Text(text=strong, strong=True)]
    for position, finding in enumerate(findings):
        between = ("; " if subject else ", ") if position else " "
        parts += [Text(text=between), link(str(finding.number), anchor_of(finding))]
        if subject is not None:
            parts.append(Text(text=f" {subject.name(finding)}"))
    return Paragraph(texts=(*parts, Text(text=".")), look=Look.CELL)


def _line(subject: Subject) -> list[Paragraph]:
    line = subject.case.impact_line
    if line is None:
        return [lead(texts.NO_TRAVEL[0], texts.NO_TRAVEL[1], Look.CELL)]
    on_it = [one.number for one in subject.findings if lies_on_impact_line(subject.case, one)]
    touched = f"on it: {labels.numbers_listed(on_it)}" if on_it else "on it: no finding"
    by = f"drawn by {one_line(line.signed.by)}, {labels.moment(line.signed.at)}"
    return [lead("Line of travel:", f"{by}; {touched}. {texts.TRAVEL}", Look.CELL)]


def _without_place(subject: Subject) -> list[Paragraph]:
    nowhere = [one for one in subject.findings if place_on_plan(subject.case, one) is None]
    return [_named("Not on the plan, since nobody named a zone:", nowhere)] if nowhere else []
