"""May the car come in and go onto the lift: signs answered by name, and what holds it outside."""
