"""The row of small photos above the canvas; a tap goes to that photo."""

from triage_app.ui.widgets.photo_strip.widget import StripPhoto, photo_strip

__all__ = ["StripPhoto", "photo_strip"]
