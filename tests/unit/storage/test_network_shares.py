"""A network share is told from a local disk by what the system says of its mounts."""

from pathlib import Path

import pytest

from triage_app.domain.errors import StorageError
from triage_app.storage.network_shares import refuse_network_share

MOUNTS = """\
proc /proc proc rw 0 0
/dev/sda1 / ext4 rw 0 0
server:/shop /srv/shop nfs4 rw 0 0
//server/office /mnt/the\\040office cifs rw 0 0
tech@server: /home/tech/far fuse.sshfs rw 0 0
/dev/sdb1 /srv/shop/local xfs rw 0 0
/dev/sdc1 /over ext4 rw 0 0
server:/over /over nfs rw 0 0
a line that is no mount
"""


@pytest.fixture
def mounts(tmp_path: Path) -> Path:
    file = tmp_path / "mounts"
    file.write_text(MOUNTS)
    return file


@pytest.mark.parametrize(
    "folder",
    ["/srv/shop", "/srv/shop/data", "/mnt/the office/data", "/home/tech/far/away", "/over/data"],
)
def test_a_folder_on_a_share_is_refused(folder: str, mounts: Path) -> None:
    with pytest.raises(StorageError, match="is on a network share"):
        refuse_network_share(Path(folder), mounts)


@pytest.mark.parametrize(
    "folder", ["/", "/srv", "/srv/shopping", "/srv/shop/local/data", "/home/tech", "/mnt"]
)
def test_a_folder_on_a_local_disk_is_taken(folder: str, mounts: Path) -> None:
    refuse_network_share(Path(folder), mounts)


def test_a_system_that_lists_no_mounts_is_taken(tmp_path: Path) -> None:
    refuse_network_share(tmp_path, tmp_path / "no such list")
