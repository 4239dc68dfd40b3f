"""Numbered steps; applied in order, never edited once released."""
