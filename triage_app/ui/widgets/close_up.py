"""A photo with its marks, whole or close up, drawn by the browser over our own picture route."""

from html import escape

from rules import Risk
from triage_app.domain.case import Case, Mark, Photo
from triage_app.domain.geometry import bounds, rings_px
from triage_app.imaging.mark_style import MARK_STYLES
from triage_app.ui.picture_links import CANVAS_SIDE_PX, picture_link
from triage_app.ui.widgets.inline_picture import svg_document, svg_picture

_MARGIN_FRAC = 0.6  # of the mark's longer side, on each side, so that the place is recognised
_LEAST_FRAC = 0.12  # of the photo's longer side, so that a tiny mark is not blown up to mush


def close_up_html(case: Case, mark: Mark, risk: Risk, *, alt: str) -> str:
    """Return the part of the photo around one mark, with the mark drawn in its risk's style."""
    photo = case.photo(mark.photo_id)
    left, top, width, height = _window(photo, mark)
    picture = f"width:{photo.width_px / width:.4%};left:{-left / width:.4%};top:{-top / height:.4%}"
    drawing = svg_document(
        _outline(photo, mark, risk, line_px=max(width, height) / 130),
        view_box=f"{left:.0f} {top:.0f} {width:.0f} {height:.0f}",
    )
    link = picture_link(case.id, photo.id, side_px=CANVAS_SIDE_PX)
    return (
        f'<div class="ub-closeup" style="aspect-ratio:{width:.0f}/{height:.0f}">'
        f'<img src="{escape(link)}" alt="{escape(alt)}" style="{picture}" loading="lazy">'
        f"{svg_picture(drawing, alt='', css_class='ub-outline')}</div>"
    )


def _window(photo: Photo, mark: Mark) -> tuple[float, float, float, float]:
    """Return left, top, width and height in upright pixels: 4:3, inside the photo if it fits."""
    box = bounds(mark.outline, photo.width_px, photo.height_px)
    wide = (box.right - box.left) * photo.width_px
    high = (box.bottom - box.top) * photo.height_px
    least = _LEAST_FRAC * max(photo.width_px, photo.height_px)
    side = max(max(wide, high) * (1 + 2 * _MARGIN_FRAC), least)
    width, height = max(side, wide * 1.2), max(side * 0.75, high * 1.2)
    width, height = max(width, height * 4 / 3), max(height, width * 3 / 4)
    middle_x = (box.left + box.right) / 2 * photo.width_px
    middle_y = (box.top + box.bottom) / 2 * photo.height_px
    return (
        _pushed_inside(middle_x - width / 2, width, photo.width_px),
        _pushed_inside(middle_y - height / 2, height, photo.height_px),
        width,
        height,
    )


def _pushed_inside(start: float, length: float, whole: float) -> float:
    if length >= whole:
        return (whole - length) / 2
    return min(max(start, 0.0), whole - length)


def _outline(photo: Photo, mark: Mark, risk: Risk, *, line_px: float) -> str:
    style = MARK_STYLES[risk]
    rings = rings_px(mark.outline, photo.width_px, photo.height_px)
    path = " ".join("M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in ring) + " Z" for ring in rings)
    dash = " ".join(f"{length * line_px:.1f}" for length in style.dash)
    casing = f'<path d="{path}" fill="none" stroke="#101214" stroke-width="{line_px * 2.2:.1f}"/>'
    middle = f'<path d="{path}" fill="none" stroke="#fff" stroke-width="{line_px * 1.5:.1f}"/>'
    core = (
        f'<path d="{path}" fill="none" stroke="{style.colour}" stroke-width="{line_px:.1f}" '
        f'stroke-dasharray="{dash}"/>'
    )
    return casing + middle + core
