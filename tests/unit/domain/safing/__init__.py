"""Tests of the make-safe record."""
