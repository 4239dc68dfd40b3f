"""Proofs about the book as a whole: that it is complete, wired up, and never lowers."""
