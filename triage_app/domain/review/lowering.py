"""What nobody may lower, whatever their role and reason.

A part that is HV itself, and damage that shows an arc, burn, cut or puncture at HV; and with them
whatever could be one of these for all that is known.
"""

from typing import Final

from rules import UNIDENTIFIED_COMPONENT, UNIDENTIFIED_DAMAGE, Assessment, HvFlag, Rulebook
from triage_app.domain.case import Finding

# Families of the book's damage types: "opened" is cut, torn, punctured or broken through.
NEVER_LOWERED_FAMILIES: Final = {"heat": "an arc or burn", "opened": "a cut, tear or puncture"}


def why_not_lowered(finding: Finding, answer: Assessment, book: Rulebook) -> str:
    """Return in one sentence why nobody may lower this finding, or "" where a reviewer may."""
    name = f"Finding {finding.number}"
    tags = finding.tags
    component = book.components.get(tags.component) if tags.component else None
    damage = book.damage_types.get(tags.damage) if tags.damage else None
    if component is None or component.id == UNIDENTIFIED_COMPONENT:
        return (
            f"{name} cannot be lowered: nobody has said what part it is, and it counts as high "
            "voltage until somebody has."
        )
    if component.is_hv:
        return (
            f"{name} cannot be lowered by anybody: the {component.label} is itself part of the "
            "high-voltage system."
        )
    if damage is None or damage.id == UNIDENTIFIED_DAMAGE:
        return (
            f"{name} cannot be lowered: nobody has said what the damage is, and it counts as an "
            "arc or a cut until somebody has."
        )
    shows = NEVER_LOWERED_FAMILIES.get(damage.family)
    if shows and answer.hv_flag is HvFlag.AT_HV:
        return (
            f"{name} cannot be lowered by anybody: the damage ({damage.label}) shows {shows} at "
            "high voltage."
        )
    if tags.hv_conductor_visible:
        return (
            f"{name} cannot be lowered by anybody: an HV conductor shows there, so whatever "
            "covered it is cut or open."
        )
    return ""
