"""The inspection checklist: everything under such a car, each with one of four states."""
