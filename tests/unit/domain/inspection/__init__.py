"""The checklist."""
