"""Our own drawing of the underside of a generic car with a flat battery; of no real car."""

from triage_app.imaging.underside.drawing import PlanTag, alt_text, tags_apart
from triage_app.imaging.underside.png import underside_png
from triage_app.imaging.underside.svg import tags_svg, underside_svg

__all__ = ["PlanTag", "alt_text", "tags_apart", "tags_svg", "underside_png", "underside_svg"]
