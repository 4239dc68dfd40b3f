"""Every error a user can meet, and nothing else.

TriageError                 text is fit to show a technician: what happened, what to do
    PhotoRejectedError      the file is not a photo we can use
    InvalidInputError       a value or an outline cannot be right
    PriceListError          a price list has faults, named row by row; nothing was taken in
    NoScaleError            the photo gives no millimetres; says why
    NotFoundError           no such case, photo, finding, mark or record
    StaleCaseError          somebody else changed the same thing; both versions are kept
    NotAllowedError         this person may not do this, or nobody is signed in
        OwnPasswordNeededError  the password is right, and was made by somebody else
    StorageError            the data folder or database cannot be used
    BundleRejectedError     an imported bundle or backup is not what it says it is

``rules.RulebookError`` stands alone, because ``rules`` imports nothing of ours.
"""


class TriageError(Exception):
    """Base of all errors whose text may be shown to a user as it is."""


class PhotoRejectedError(TriageError):
    """The file is not a photo that can be used; nothing was stored."""


class InvalidInputError(TriageError, ValueError):
    """A value or an outline cannot be right; nothing was stored.

    Also a ValueError, so that whoever reads many values can say which one it was.
    """


class PriceListError(InvalidInputError):
    """A price list cannot be taken in; ``faults`` names each row, and nothing was stored."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        more = len(faults) - 1
        rest = "" if not more else f" And {more} more fault{'s' if more > 1 else ''}."
        super().__init__(f"The price list was not taken in. {faults[0]}{rest}")
        self.faults = faults


class NoScaleError(TriageError):
    """The photo, or this place on it, gives no millimetres; better no number than a wrong one."""


class NotFoundError(TriageError):
    """No such case, photo, finding, mark or record of evidence."""


class StaleCaseError(TriageError):
    """Somebody else changed the same finding or mark first; theirs stands, ours was not stored."""


class NotAllowedError(TriageError):
    """The person may not do this, or nobody is signed in."""


class OwnPasswordNeededError(NotAllowedError):
    """The password is right but was made by somebody else; a person chooses their own first."""


class StorageError(TriageError):
    """The data folder or the database cannot be used; nothing was stored."""


class BundleRejectedError(TriageError):
    """A bundle or backup is damaged or not what it says; nothing was imported."""
