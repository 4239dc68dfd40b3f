"""Names as a person reads them: findings, parts, photos and times.

A label that a later rule book no longer has is shown as its bare id, never left out.
"""

from collections.abc import Sequence
from datetime import UTC, datetime

from rules import ComponentId, DamageId, ZoneId
from triage_app.domain.case import Case, Finding
from triage_app.ui import mark_text
from triage_app.ui.wiring import rulebook


def component_label(component_id: ComponentId | None) -> str | None:
    if component_id is None:
        return None
    found = rulebook().components.get(component_id)
    return found.label if found else component_id


def damage_label(damage_id: DamageId | None) -> str | None:
    if damage_id is None:
        return None
    found = rulebook().damage_types.get(damage_id)
    return found.label if found else damage_id


def zone_label(zone_id: ZoneId | None) -> str | None:
    if zone_id is None:
        return None
    found = rulebook().zones.get(zone_id)
    return found.label if found else zone_id


def finding_name(finding: Finding) -> str:
    """Return number, part and damage of a finding, in the rule book's words."""
    tags = finding.tags
    return mark_text.finding_title(
        finding.number, component_label(tags.component), damage_label(tags.damage)
    )


def photo_numbers(case: Case, finding: Finding) -> Sequence[int]:
    """Return the numbers of the photos on which a finding is marked, as the strip shows them."""
    marked = {mark.photo_id for mark in finding.marks}
    return [number for number, photo in enumerate(case.photos, start=1) if photo.id in marked]


def shown_time(at: datetime) -> str:
    """Return a time to the minute in UTC, as the journal and the report give it."""
    return f"{at.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
