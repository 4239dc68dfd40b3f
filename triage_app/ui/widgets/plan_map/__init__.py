"""The underside map: findings on our own drawing of the underside, and the line of impact."""

from triage_app.ui.widgets.plan_map.page import underside_map
from triage_app.ui.widgets.plan_map.widget import parsed_line

__all__ = ["parsed_line", "underside_map"]
