"""The drawing of the underside as SVG for the screen: same input, same text."""

from collections.abc import Iterable, Mapping, Sequence
from xml.sax.saxutils import escape, quoteattr

from rules import ZoneId
from triage_app.domain.plan_view import PLAN_ZONES
from triage_app.imaging.underside.drawing import PlanTag, alt_text, elements
from triage_app.imaging.underside.shapes import HEIGHT, WIDTH, Element, Point, Stroke, Word

# A capital is about this share of the size high, so its middle lies half of that above the line.
_CAPITAL_HALF = 0.36


def underside_svg(
    tags: Sequence[PlanTag] = (),
    *,
    zone_labels: Mapping[ZoneId, str],
    emphasised: Iterable[ZoneId] = (),
    tag_scale: float = 1.0,
) -> str:
    """Return the drawing with its tags, and each zone as an invisible ``rect`` to tap.

    A zone's rectangle carries its id as ``data-zone`` and its name as ``title``. The picture fills
    the width that it is given; its viewBox is in units of the drawing.
    """
    shown = tuple(emphasised)
    drawn = elements(tags, emphasised=shown, tag_scale=tag_scale)
    said = alt_text(tags, zone_labels, emphasised=shown)
    return "".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
            f'role="img" aria-label={quoteattr(said)}>',
            *(_element(one) for one in drawn),
            '<g class="zones">',
            *(_zone(zone_labels, index) for index in range(len(PLAN_ZONES))),
            "</g></svg>",
        )
    )


def tags_svg(tags: Sequence[PlanTag], *, tag_scale: float = 1.0) -> str:
    """Return the tags alone, to be laid over the drawing and whatever is drawn upon it."""
    drawn = elements(tags, tag_scale=tag_scale)[len(elements()) :]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'aria-hidden="true">{"".join(_element(one) for one in drawn)}</svg>'
    )


def _element(one: Element) -> str:
    if isinstance(one, Word):
        return _word(one)
    return _stroke(one)


def _stroke(one: Stroke) -> str:
    ends = "Z" if one.is_closed else ""
    looks = [f'fill="{one.fill or "none"}"']
    if one.ink:
        looks.append(f'stroke="{one.ink}" stroke-width="{one.width:g}" stroke-linejoin="round"')
    if one.dash:
        looks.append(f'stroke-dasharray="{" ".join(f"{part:g}" for part in one.dash)}"')
    return f'<path d="M{"L".join(_at(point) for point in one.points)}{ends}" {" ".join(looks)}/>'


def _word(one: Word) -> str:
    x, y = one.at
    return (
        f'<text x="{x:.1f}" y="{y + _CAPITAL_HALF * one.size:.1f}" font-size="{one.size:g}" '
        f'font-family="system-ui, sans-serif" text-anchor="middle" fill="{one.ink}"'
        f' font-weight="700">{escape(one.text)}</text>'
    )


def _zone(zone_labels: Mapping[ZoneId, str], index: int) -> str:
    zone = PLAN_ZONES[index]
    label = escape(zone_labels.get(zone.zone, zone.zone))
    return (
        f'<rect data-zone={quoteattr(zone.zone)} x="{zone.left * WIDTH:g}" '
        f'y="{zone.top * HEIGHT:g}" width="{(zone.right - zone.left) * WIDTH:.5g}" '
        f'height="{(zone.bottom - zone.top) * HEIGHT:.5g}" fill="transparent">'
        f"<title>{label}</title></rect>"
    )


def _at(point: Point) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"
