"""Mirrors the package of the same name."""
