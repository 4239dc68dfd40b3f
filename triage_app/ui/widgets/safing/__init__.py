"""The parts of the page of the make-safe record."""
