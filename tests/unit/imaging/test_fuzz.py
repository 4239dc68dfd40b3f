"""Random damage to real files: a photo or a refusal, and never anything else."""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.unit.imaging.pictures import busy_picture, encoded, exif
from triage_app.domain.errors import PhotoRejectedError
from triage_app.imaging.reading import read_photo
from triage_app.imaging.resize import upright_jpeg


@cache
def whole_file(kind: str) -> bytes:
    picture = busy_picture(64, 48)
    return encoded(picture, kind, exif=exif(6, "2031:03:14 09:05:12"))


changes = st.lists(
    st.tuples(
        st.sampled_from(["set", "set", "insert", "remove", "cut"]),
        st.floats(0, 1, exclude_max=True),
        st.binary(min_size=1, max_size=8),
    ),
    min_size=1,
    max_size=10,
)


def damaged(data: bytes, listed: list[tuple[str, float, bytes]]) -> bytes:
    for how, where, piece in listed:
        at = int(where * len(data))
        if how == "set":
            data = data[:at] + piece + data[at + len(piece) :]
        elif how == "insert":
            data = data[:at] + piece + data[at:]
        elif how == "remove":
            data = data[:at] + data[at + len(piece) :]
        elif len(listed) == 1:
            data = data[:at]
    return data


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "HEIF", "WEBP", "TIFF"])
def test_a_damaged_file_is_read_or_refused(kind: str) -> None:
    @settings(max_examples=150, deadline=None, database=None)
    @given(changes)
    def check(listed: list[tuple[str, float, bytes]]) -> None:
        data = damaged(whole_file(kind), listed)
        try:
            read_photo(data)
        except PhotoRejectedError:
            return
        assert upright_jpeg(data, longest_side_px=20).startswith(b"\xff\xd8")

    check()


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=400))
def test_random_bytes_are_refused(data: bytes) -> None:
    with pytest.raises(PhotoRejectedError):
        read_photo(data)
