"""A JPEG may hold any number of scans over the whole picture; this counts them undecoded."""

import re

from triage_app.domain.errors import PhotoRejectedError

# A progressive photo has about ten scans; a small file with thousands keeps a core busy for hours.
MAX_SCANS = 100

_START_OF_SCAN, _END_OF_IMAGE = 0xDA, 0xD9

# Within a scan, 0xFF is followed by 0 (stuffing), a restart marker, or another 0xFF (fill).
_NEXT_MARKER = re.compile(rb"\xff[^\x00\x01\xd0-\xd8\xff]")


def check_scans(data: bytes) -> None:
    """Raise PhotoRejectedError when the first picture of the file has too many scans."""
    scans, marker = 0, _NEXT_MARKER.search(data, 2)
    while marker is not None and data[marker.end() - 1] != _END_OF_IMAGE:
        if data[marker.end() - 1] == _START_OF_SCAN:
            scans += 1
        if scans > MAX_SCANS:
            raise PhotoRejectedError(
                f"The photo is built of more than {MAX_SCANS} layers; no camera does that."
            )
        length = int.from_bytes(data[marker.end() : marker.end() + 2], "big")
        marker = _NEXT_MARKER.search(data, marker.end() + length)
