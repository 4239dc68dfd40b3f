"""What every store of files promises."""

import hashlib
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.ids import Sha256
from triage_app.services.ports import BlobStore
from triage_app.storage.open import open_blobs

ABSENT = Sha256("0" * 64)


@pytest.fixture
def blobs(files_url: str) -> BlobStore:
    return open_blobs(files_url)


@settings(
    max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(data=st.binary(max_size=300))
def test_bytes_come_back_under_their_hash(blobs: BlobStore, data: bytes) -> None:
    name = blobs.put(data)
    assert name == hashlib.sha256(data).hexdigest()
    assert blobs.get(name) == data
    assert blobs.exists(name)
    assert name in blobs.names()


def test_storing_twice_stores_once(blobs: BlobStore) -> None:
    assert blobs.put(b"photo") == blobs.put(b"photo")
    assert len(blobs.names()) == 1


def test_an_absent_file_is_not_found(blobs: BlobStore) -> None:
    assert not blobs.exists(ABSENT)
    with pytest.raises(NotFoundError, match="not in the folder"):
        blobs.get(ABSENT)


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "AB" * 32, "ab" * 31, "ab" * 32 + "\n"])
def test_a_name_that_is_no_hash_reaches_no_path(blobs: BlobStore, name: str) -> None:
    for ask in (blobs.get, blobs.exists, blobs.delete):
        with pytest.raises(InvalidInputError):
            ask(Sha256(name))


def test_a_deleted_file_is_gone_and_deleting_again_does_nothing(blobs: BlobStore) -> None:
    name = blobs.put(b"photo")
    other = blobs.put(b"other")
    blobs.delete(name)
    blobs.delete(name)
    assert blobs.names() == {other}


def test_names_can_leave_out_what_was_stored_just_now(blobs: BlobStore) -> None:
    blobs.put(b"photo")
    assert blobs.names(settled_for=timedelta(minutes=5)) == set()


def test_an_empty_store_has_no_names(blobs: BlobStore) -> None:
    assert blobs.names() == set()
