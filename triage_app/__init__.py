"""Underbody Triage: from phone photos of a car's underside to a Word report."""

__version__ = "0.1.0"
