"""What lies in a bundle: the names, the limits and the manifest. No case is read here."""

import re
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Final, Literal

from pydantic import ConfigDict, TypeAdapter

from triage_app.casefile.cases import STRICT
from triage_app.domain.case import Case, IssuedReport, Photo
from triage_app.domain.ids import Sha256

BUNDLE_FORMAT: Final = 1
MANIFEST = "manifest.json"
CASE = "case.json"
JOURNAL = "journal.json"
ABOUT = "about.txt"
TEXT_MEMBERS = (CASE, JOURNAL, ABOUT)

MAX_MEMBERS = 3_000
MAX_TEXT_BYTES = 100_000_000
MAX_FILE_BYTES = 200_000_000
MAX_TOTAL_BYTES = 8_000_000_000

_KNOWN_NAME = re.compile(
    r"(manifest\.json|case\.json|journal\.json|about\.txt"
    r"|photos/[0-9a-f]{64}\.[a-z]{3,4}|reports/[0-9a-f]{64}\.docx)"
)
_ENDINGS = {
    "image/jpeg": "jpg",
    "image/heic": "heic",
    "image/heif": "heif",
    "image/png": "png",
    "image/webp": "webp",
    "image/tiff": "tiff",
    "image/mpo": "mpo",
}

ABOUT_ORIGINALS = (
    "A case of Underbody Triage. The photos are the untouched originals: they may hold the place\n"
    "where they were taken and the owner of the camera. Hand this file only to somebody who may\n"
    "know that; for the insurer there is an export without it.\n"
)
ABOUT_INSURER = (
    "A case of Underbody Triage, made for an insurer. The photos are upright copies without\n"
    "place or camera data; manifest.json gives the SHA-256 of each untouched original, which the\n"
    "shop keeps. The journal says who did what and when, without the contents.\n"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One file of the bundle. ``original_sha256`` is given where the file is a cleaned copy."""

    name: str
    sha256: Sha256
    byte_count: int
    original_sha256: Sha256 | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """Says what the bundle holds; every other member is listed."""

    __pydantic_config__: ClassVar[ConfigDict] = STRICT
    format: Literal[1]
    case_id: str
    reference: str
    for_insurer: bool
    journal_head: str
    journal_count: int
    members: tuple[Member, ...]


MANIFEST_FILE: TypeAdapter[Manifest] = TypeAdapter(Manifest)


def photo_member(photo: Photo, *, cleaned: bool = False) -> str:
    """Return where a photo lies in the bundle; nothing of its file name is used."""
    ending = "jpg" if cleaned else _ENDINGS.get(photo.media_type, "bin")
    return f"photos/{photo.sha256}.{ending}"


def report_member(report: IssuedReport) -> str:
    return f"reports/{report.sha256}.docx"


def file_members(case: Case) -> dict[str, Sha256]:
    """Return the photos and reports of a case as names in the bundle and their hashes."""
    photos = {photo_member(photo): photo.sha256 for photo in case.photos}
    return photos | {report_member(report): report.sha256 for report in case.reports}


def is_known_name(name: str) -> bool:
    return _KNOWN_NAME.fullmatch(name) is not None


def stored_member(name: str) -> zipfile.ZipInfo:
    """Return an entry that is the same whenever and wherever it is written."""
    info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    info.create_system = 3
    info.external_attr = 0o600 << 16
    is_text = name.endswith((".json", ".txt"))
    info.compress_type = zipfile.ZIP_DEFLATED if is_text else zipfile.ZIP_STORED
    return info


def total_bytes(infos: Iterable[zipfile.ZipInfo]) -> int:
    return sum(info.file_size for info in infos)
