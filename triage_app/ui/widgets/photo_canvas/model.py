"""What the page shows on the canvas: a photo and the marks that the store holds for it."""

from dataclasses import dataclass

from rules import Risk
from triage_app.domain.geometry import Outline
from triage_app.domain.ids import FindingId, MarkId, PhotoId
from triage_app.ui.widgets.photo_canvas.outlines import PhotoSize


@dataclass(frozen=True, slots=True, kw_only=True)
class CanvasPhoto:
    """A photo by its addresses, which the browser asks for itself, with its session's cookie.

    Sizes are of the upright photo. ``preview_url`` is shown at once; ``full_url`` is fetched only
    when a person zooms in further than the preview is sharp,
    ``edges_url`` only when a person asks for snapping. ``title`` is read aloud.
    """

    photo_id: PhotoId
    width_px: int
    height_px: int
    preview_url: str
    full_url: str
    edges_url: str
    title: str = "Photo"

    @property
    def size(self) -> PhotoSize:
        return PhotoSize(width_px=self.width_px, height_px=self.height_px)


@dataclass(frozen=True, slots=True, kw_only=True)
class CanvasMark:
    """A stored mark as it is to be drawn. ``label`` says what is damaged and how."""

    mark_id: MarkId
    finding_id: FindingId
    number: int
    label: str
    outline: Outline
    revision: int
    risk: Risk
    hv: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CanvasArea:
    """A proposed area, drawn dotted under the marks; it cannot be changed by hand.

    ``is_settled`` dims it, where somebody said what it is.
    """

    label: str
    outline: Outline
    is_settled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """The revision of the case that is shown, and the address that tells the newest one."""

    revision: int
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SameDamage:
    """The finding that new marks belong to, when they show the same damage once more."""

    finding_id: FindingId
    number: int
