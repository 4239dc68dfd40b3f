"""Tell a local disk from a network share, on which SQLite's locks do not hold."""

import os
import re
from pathlib import Path

from triage_app.domain.errors import StorageError

# Names that Linux gives to file systems of other machines (see "man 5 filesystems"; from memory).
_NETWORK_TYPES = re.compile(
    r"(nfs\d?|cifs|smb\d?|smbfs|ncpfs|afs|coda|ceph|glusterfs|lustre|davfs|"
    r"fuse\.(sshfs|davfs2?|rclone|s3fs|glusterfs|ceph|smbnetfs|curlftpfs|gvfsd-fuse))"
)
_MOUNTS = Path("/proc/mounts")


def refuse_network_share(folder: Path, mounts: Path = _MOUNTS) -> None:
    """Raise StorageError if ``folder`` lies on a share of another machine.

    Where the system does not say (no /proc/mounts), only a Windows share name is recognised.
    """
    full = folder.resolve()
    if full.drive.startswith("\\\\") or (mounts.exists() and _is_network(full, mounts)):
        raise StorageError(
            f"The data folder '{folder}' is on a network share, where two programs can damage a "
            "database. Use a folder on a local disk, or a PostgreSQL server."
        )


def _is_network(folder: Path, mounts: Path) -> bool:
    nearest, nearest_type = "", ""
    for line in mounts.read_text(encoding="utf-8", errors="replace").splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        place = _unescaped(fields[1])
        # A later line for the same place covers the earlier one.
        if _lies_in(folder, place) and len(place) >= len(nearest):
            nearest, nearest_type = place, fields[2]
    return _NETWORK_TYPES.fullmatch(nearest_type) is not None


def _lies_in(folder: Path, place: str) -> bool:
    return os.path.commonpath([str(folder), place]) == place if place.startswith("/") else False


def _unescaped(text: str) -> str:
    return re.sub(r"\\([0-7]{3})", lambda found: chr(int(found[1], 8)), text)
