"""Tests. One folder a kind; ``builders`` makes the values that tests need."""
