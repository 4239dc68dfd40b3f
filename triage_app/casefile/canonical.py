"""One spelling for each JSON value, so that equal values have equal hashes."""

import hashlib
import json
from collections.abc import Mapping, Sequence

from triage_app.domain.ids import Sha256

Json = None | bool | int | float | str | Sequence["Json"] | Mapping[str, "Json"]


def canonical_json(value: object) -> str:
    """Return JSON with sorted keys, no spaces and no escapes that UTF-8 does not need."""
    return json.dumps(
        value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def sha256_of(data: str | bytes) -> Sha256:
    """Return the SHA-256 of bytes, or of text as UTF-8."""
    raw = data.encode() if isinstance(data, str) else data
    return Sha256(hashlib.sha256(raw).hexdigest())
