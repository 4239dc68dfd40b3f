"""Words that people typed -> words that may stand in a Word file."""

import re
import unicodedata

# XML 1.0, 5th edition, production 2 (Char): what is not listed there may not occur, escaped or not.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# Controls that reorder or hide the text around them; joiners stay, some scripts need them.
_REORDERING = re.compile("[\u00ad\u061c\u200b\u200e\u200f\u202a-\u202e\u2060-\u2069\ufeff]")
_RIGHT_TO_LEFT = ("R", "AL")
_STRONG = ("L", *_RIGHT_TO_LEFT)


def printable(text: str) -> str:
    """Return ``text`` without what XML forbids and without controls that reorder a line."""
    return _REORDERING.sub("", _NOT_XML.sub("", text)).replace("\r\n", "\n").replace("\r", "\n")


def one_line(text: str) -> str:
    """Return ``text`` as one line with single spaces."""
    return " ".join(printable(text).split())


def reads_right_to_left(text: str) -> bool:
    """Tell whether most letters are written from right to left.

    Not by the first letter, as a browser would: our own sentences begin with a shop's name.
    """
    if text.isascii():
        return False
    directions = [unicodedata.bidirectional(letter) for letter in text]
    right_to_left = sum(direction in _RIGHT_TO_LEFT for direction in directions)
    return right_to_left > directions.count("L")


def by_direction(text: str) -> list[tuple[str, bool]]:
    """Return stretches of ``text`` with "is right to left"; neutral signs go with what is before.

    Latin text, the usual case, comes back as one stretch.
    """
    if text.isascii():
        return [(text, False)]
    stretches: list[tuple[str, bool]] = []
    start, current = 0, False
    for at, letter in enumerate(text):
        direction = unicodedata.bidirectional(letter)
        if direction in _STRONG and (direction in _RIGHT_TO_LEFT) is not current:
            stretches.append((text[start:at], current))
            start, current = at, not current
    stretches.append((text[start:], current))
    return [(stretch, direction) for stretch, direction in stretches if stretch]
