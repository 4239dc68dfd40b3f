"""The marking canvas: a photo on which damage is outlined by mouse, touch, pen or keyboard.

Plain SVG and pointer events inside Streamlit's page; every finished gesture is handed to the page
at once, and the browser keeps it until the page has answered.
"""

from triage_app.ui.widgets.photo_canvas.gestures import (
    Combine,
    Delete,
    Draw,
    Gesture,
    Redo,
    Reshape,
    Select,
    Undo,
)
from triage_app.ui.widgets.photo_canvas.model import (
    CanvasArea,
    CanvasMark,
    CanvasPhoto,
    SameDamage,
    Seen,
)
from triage_app.ui.widgets.photo_canvas.widget import photo_canvas

__all__ = [
    "CanvasArea",
    "CanvasMark",
    "CanvasPhoto",
    "Combine",
    "Delete",
    "Draw",
    "Gesture",
    "Redo",
    "Reshape",
    "SameDamage",
    "Seen",
    "Select",
    "Undo",
    "photo_canvas",
]
