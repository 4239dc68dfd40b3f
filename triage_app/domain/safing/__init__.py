"""The make-safe record: entries in, state and reasons out. It never says that a car is safe."""
