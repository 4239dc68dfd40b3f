"""Tests of the case file formats."""
