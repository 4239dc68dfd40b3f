"""The screens in a real browser: what fits, what can be touched, what leaves the host."""
