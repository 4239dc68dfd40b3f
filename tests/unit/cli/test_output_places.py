"""What -o may name: a file, new or old, and nothing that writing would take away."""

import os
from pathlib import Path

import pytest

from triage_app.cli.files import check_writable, write_file
from triage_app.domain.errors import InvalidInputError


@pytest.mark.parametrize("act", [check_writable, lambda path: write_file(path, b"x")])
def test_a_pipe_or_device_is_refused_and_stays(act, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]  # two calls of one shape
    """A named pipe stands for any special file; no real device is touched by a test."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(InvalidInputError, match="is not a file"):
        act(pipe)
    assert pipe.is_fifo()
    assert list(tmp_path.iterdir()) == [pipe]


def test_an_old_file_is_replaced_whole(tmp_path: Path) -> None:
    old = tmp_path / "old"
    old.write_bytes(b"before")
    write_file(old, b"after")
    assert old.read_bytes() == b"after"
