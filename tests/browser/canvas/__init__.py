"""A small app around the marking canvas, and the tests that drive it in a browser."""
