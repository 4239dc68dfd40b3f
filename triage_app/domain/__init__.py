"""Nouns and laws of a case. No I/O, no pixels, nothing but the standard library and ``rules``."""
