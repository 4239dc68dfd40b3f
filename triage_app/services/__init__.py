"""What a person can do, one function each: the only way to change a case."""

from triage_app.services.services import Services

__all__ = ["Services"]
