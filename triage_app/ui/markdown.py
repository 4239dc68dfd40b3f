"""Text of people inside Streamlit's Markdown, shown as it was typed."""

_MEANS_SOMETHING = "\\`*_[]<>$~"


def as_typed(text: str) -> str:
    """Return Markdown that shows ``text`` itself: no link, picture, formula or emphasis in it."""
    return "".join(f"\\{letter}" if letter in _MEANS_SOMETHING else letter for letter in text)
