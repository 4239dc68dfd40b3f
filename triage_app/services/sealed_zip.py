"""Zip files whose every member is known beforehand: written the same always, read with distrust."""

import hashlib
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterator
from typing import IO

from triage_app.casefile.manifests import Member
from triage_app.domain.errors import BundleRejectedError
from triage_app.domain.ids import Sha256

MANIFEST = "manifest.json"
MAX_TEXT_BYTES = 100_000_000
_CHUNK = 1 << 20
_ENCRYPTED = 0x1

# Whatever zipfile and zlib raise on bytes that are no sound archive (found by trying).
_UNSOUND = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    OSError,
    ValueError,
    OverflowError,
)

LimitOf = Callable[[str], int | None]


def new_member(name: str, *, packed: bool) -> zipfile.ZipInfo:
    """Return an entry that is the same whenever and wherever it is written."""
    info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    info.create_system = 3
    info.external_attr = (stat.S_IFREG | 0o600) << 16
    info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
    return info


class SealedZip:
    """An archive that may be hostile. Nothing is handed out before its members were checked."""

    def __init__(
        self,
        stream: IO[bytes],
        *,
        what: str,
        limit_of: LimitOf,
        max_members: int,
        max_total_bytes: int,
    ) -> None:
        """``limit_of`` gives the greatest size of a member, or None for a name of no member.

        Raises BundleRejectedError, with ``what`` as the subject of its sentence.
        """
        self.what = what
        try:
            self._archive = zipfile.ZipFile(stream)
        except _UNSOUND as error:
            raise BundleRejectedError(f"{what} is refused: it is no sound zip file.") from error
        infos = self._archive.infolist()
        if len(infos) > max_members:
            raise BundleRejectedError(f"{what} is refused: it holds over {max_members} files.")
        for info in infos:
            self._check(info, limit_of)
        if sum(info.file_size for info in infos) > max_total_bytes:
            raise BundleRejectedError(
                f"{what} is refused: it would unpack to over {max_total_bytes // 10**9} GB."
            )
        self.names = {info.filename for info in infos}
        if len(self.names) != len(infos):
            raise BundleRejectedError(f"{what} is refused: it holds a file twice.")

    def check_listed(self, members: tuple[Member, ...]) -> None:
        """Raise BundleRejectedError unless exactly these members are there, with their bytes."""
        listed = sorted(member.name for member in members)
        if listed != sorted(self.names - {MANIFEST}):
            raise BundleRejectedError(
                f"{self.what} is refused: it does not hold the files that its manifest lists."
            )
        for member in members:
            if self.sha256_of(member.name) != member.sha256:
                raise BundleRejectedError(
                    f"{self.what} is refused: '{member.name}' is not as its manifest says."
                )

    def text(self, name: str) -> str:
        if name not in self.names:
            raise BundleRejectedError(f"{self.what} is refused: it has no '{name}'.")
        try:
            return self.read(name).decode()
        except UnicodeDecodeError as error:
            raise BundleRejectedError(f"{self.what} is refused: '{name}' is no text.") from error

    def read(self, name: str) -> bytes:
        return b"".join(self.chunks(name))

    def sha256_of(self, name: str) -> Sha256:
        digest = hashlib.sha256()
        for chunk in self.chunks(name):
            digest.update(chunk)
        return Sha256(digest.hexdigest())

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield the bytes of a member, never more than it declares."""
        info = self._archive.getinfo(name)
        left = info.file_size
        try:
            with self._archive.open(info) as member:
                while chunk := member.read(min(_CHUNK, left + 1)):
                    left -= len(chunk)
                    if left < 0:
                        break
                    yield chunk
        except _UNSOUND as error:
            raise self._damaged(name) from error
        if left != 0:
            raise self._damaged(name)

    def _damaged(self, name: str) -> BundleRejectedError:
        return BundleRejectedError(f"{self.what} is refused: '{name}' in it is damaged.")

    def _check(self, info: zipfile.ZipInfo, limit_of: LimitOf) -> None:
        # zipfile cuts a name at a NUL and turns "\" into "/" on Windows: both names must be ours.
        limit = limit_of(info.filename) if info.filename == info.orig_filename else None
        shown = info.orig_filename.encode("unicode_escape").decode()[:80]
        if limit is None:
            problem = f"it holds '{shown}', which does not belong there"
        elif stat.S_ISLNK(info.external_attr >> 16):
            problem = f"'{shown}' in it is a link instead of a file"
        elif info.flag_bits & _ENCRYPTED:
            problem = f"'{shown}' in it is encrypted"
        elif info.file_size > limit:
            problem = f"'{shown}' in it is larger than {limit // 10**6} MB"
        else:
            return
        raise BundleRejectedError(f"{self.what} is refused: {problem}.")
