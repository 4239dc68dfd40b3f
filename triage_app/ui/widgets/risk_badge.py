"""Risk and HV flag as word, pattern and colour together."""

from html import escape

from rules import HvFlag, Risk
from triage_app.imaging.mark_style import MARK_STYLES, MarkStyle
from triage_app.ui import text, words
from triage_app.ui.widgets.inline_picture import svg_document, svg_picture

_SIDE = 24


def risk_badge_html(risk: Risk | None) -> str:
    """Return the badge of a risk level; None is "not assessed", which is never a low one."""
    if risk is None:
        return f'<span class="ub-badge ub-badge-none">{escape(words.NOT_ASSESSED)}</span>'
    style = MARK_STYLES[risk]
    return (
        f'<span class="ub-badge" style="background:{style.colour};color:{style.ink}">'
        f"{_swatch(style)}<b>{escape(style.word)}</b></span>"
    )


def hv_chip_html(flag: HvFlag) -> str:
    """Return the HV flag as a chip with its sign; without a flag, a plain sentence."""
    if flag is HvFlag.NONE:
        return f'<span class="ub-chip">{escape(words.HV_FLAGS[flag])}</span>'
    strength = "ub-chip-at" if flag is HvFlag.AT_HV else "ub-chip-near"
    return (
        f'<span class="ub-chip {strength}">{hv_sign_html(size_px=24)}'
        f"<b>{escape(words.HV_FLAGS[flag])}</b></span>"
    )


def hv_sign_html(*, size_px: int) -> str:
    """Return the electricity warning sign, drawn by us after the shape that ISO 7010 W012 has."""
    shapes = (
        '<path d="M50 5 L95 84 Q97 89 92 89 L8 89 Q3 89 5 84 Z" fill="#F9A800" stroke="#14181C" '
        'stroke-width="8" stroke-linejoin="round"/>'
        '<path d="M57 24 L36 54 L50 54 L44 67 L38 64 L42 82 L57 71 L51 69 L64 46 L51 46 L62 26 Z" '
        'fill="#14181C"/>'
    )
    drawing = svg_document(shapes, view_box="0 0 100 94")
    return svg_picture(drawing, alt=text.HV_SIGN_ALT, css_class="ub-sign", size_px=size_px)


def _swatch(style: MarkStyle) -> str:
    dash = " ".join(f"{length * 2:g}" for length in style.dash)
    border = (
        f'<rect x="1.5" y="1.5" width="{_SIDE - 3}" height="{_SIDE - 3}" fill="none" '
        f'stroke="{style.ink}" stroke-width="2.5" stroke-dasharray="{dash}"/>'
    )
    drawing = svg_document(
        _PATTERNS[style.pattern](style.ink) + border, view_box=f"0 0 {_SIDE} {_SIDE}"
    )
    return svg_picture(drawing, alt="", css_class="ub-swatch", size_px=_SIDE)


def _diagonals(ink: str) -> str:
    return _lines("M0 12 L12 0 M0 24 L24 0 M12 24 L24 12", ink)


def _cross(ink: str) -> str:
    return _diagonals(ink) + _lines("M12 0 L24 12 M0 0 L24 24 M0 12 L12 24", ink)


def _dots(ink: str) -> str:
    places = [(x, y) for x in (7, 12, 17) for y in (7, 12, 17)]
    return "".join(f'<circle cx="{x}" cy="{y}" r="1.5" fill="{ink}"/>' for x, y in places)


def _plain(_: str) -> str:
    return ""


def _lines(path: str, ink: str) -> str:
    return f'<path d="{path}" stroke="{ink}" stroke-width="1.6" fill="none"/>'


_PATTERNS = {"cross": _cross, "diagonal": _diagonals, "dots": _dots, "plain": _plain}
