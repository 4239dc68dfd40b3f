"""No deadline for property tests: a busy machine must not turn a law into a failure."""

from hypothesis import settings

settings.register_profile("no deadline", deadline=None)
settings.load_profile("no deadline")
