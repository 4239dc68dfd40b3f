"""The HTTP status that goes with an error sentence."""

from triage_app.domain.errors import NotAllowedError, NotFoundError, StorageError, TriageError


def status_of(error: TriageError) -> int:
    """Return the HTTP status that tells a program what the sentence tells a person."""
    if isinstance(error, NotFoundError):
        return 404
    if isinstance(error, NotAllowedError):
        return 403
    if isinstance(error, StorageError):
        return 503
    return 400
