"""Tests of everything that looks at pixels."""
