"""A case leaves as one file and comes in again; what is not such a file changes nothing."""

import io
import json
import stat
import zipfile
from collections.abc import Callable
from dataclasses import fields, replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.builders import ADMINISTRATOR, SIGNED, a_case, a_jpeg, a_photo
from tests.contract.stand_ins import plain_summary
from triage_app.casefile import journal_from_json, journal_to_json
from triage_app.casefile.canonical import canonical_json, sha256_of
from triage_app.domain.case import Case, IssuedReport, Photo
from triage_app.domain.commands import AddMark, AddPhoto
from triage_app.domain.errors import BundleRejectedError, InvalidInputError, NotFoundError
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import CaseId, FindingId, MarkId
from triage_app.domain.journal import JournalEntry, entry_hash
from triage_app.domain.report_commands import RecordReport
from triage_app.services import bundle
from triage_app.services.archive import Archive
from triage_app.services.sealed_zip import MAX_TEXT_BYTES
from triage_app.storage.open import Stores, open_stores

GPS_IFD = 0x8825


def a_store() -> Stores:
    return open_stores("memory://", "memory://", summarise=plain_summary)


def archive_of(stores: Stores) -> Archive:
    return Archive(cases=stores.cases, blobs=stores.blobs)


def a_located_jpeg() -> bytes:
    """Return a photo that lies on its side and says where it was taken."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[GPS_IFD] = {1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)}
    out = io.BytesIO()
    Image.open(io.BytesIO(a_jpeg())).save(out, "JPEG", exif=exif)
    return out.getvalue()


def photo_of(stores: Stores, data: bytes) -> Photo:
    return a_photo(sha256=stores.blobs.put(data), width_px=480, height_px=640)


def a_full_case(stores: Stores) -> Case:
    case = stores.cases.create(a_case(photos=()), SIGNED)
    photo = photo_of(stores, a_located_jpeg())
    report = IssuedReport(
        sha256=stores.blobs.put(b"a Word report"),
        case_revision=3,
        rulebook_sha256="cd" * 32,
        file_name="report.docx",
        issued=SIGNED,
    )
    mark = AddMark(
        finding_id=FindingId("F1"),
        mark_id=MarkId("M1"),
        photo_id=photo.id,
        outline=rectangle(0.1, 0.1, 0.4, 0.4),
    )
    for command in (AddPhoto(photo=photo), mark, RecordReport(report=report)):
        case = stores.cases.apply(case.id, command, SIGNED).after
    return case


def a_bundle(*, for_insurer: bool = False) -> bytes:
    stores = a_store()
    return archive_of(stores).export(
        a_full_case(stores).id, by=ADMINISTRATOR, for_insurer=for_insurer
    )


GOOD = a_bundle()


def members(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(held: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in held.items():
            archive.writestr(name, data)
    return out.getvalue()


def sealed(held: dict[str, bytes]) -> bytes:
    """Zip these members under a manifest that fits them, as a careful forger would."""
    manifest = json.loads(held["manifest.json"])
    manifest["members"] = [
        {
            "name": name,
            "sha256": sha256_of(data),
            "byte_count": len(data),
            "original_sha256": None,
        }
        for name, data in held.items()
        if name != "manifest.json"
    ]
    return zipped({**held, "manifest.json": canonical_json(manifest).encode()})


def assert_refused(data: bytes, said: str) -> None:
    stores = a_store()
    with pytest.raises(BundleRejectedError, match=said) as caught:
        archive_of(stores).import_bundle(data, by=ADMINISTRATOR)
    assert "\n" not in str(caught.value)
    assert stores.cases.count() == 0
    assert stores.blobs.names() == set()


def test_a_bundle_brings_case_journal_and_files() -> None:
    stores = a_store()
    case = a_full_case(stores)
    other = a_store()
    assert (
        archive_of(other).import_bundle(
            archive_of(stores).export(case.id, by=ADMINISTRATOR), by=ADMINISTRATOR
        )
        == case
    )
    assert other.cases.get(case.id) == case
    assert other.cases.journal(case.id) == stores.cases.journal(case.id)
    assert other.blobs.names() == stores.blobs.names()


def test_the_same_case_gives_the_same_bytes() -> None:
    assert a_bundle() == GOOD


def test_a_bundle_keeps_the_originals_and_says_that_they_may_hold_the_place() -> None:
    held = members(GOOD)
    assert a_located_jpeg() in held.values()
    assert b"may hold the place" in held["about.txt"]
    assert sorted(name.split("/")[0] for name in held) == [
        "about.txt",
        "case.json",
        "journal.json",
        "manifest.json",
        "photos",
        "reports",
    ]


def test_what_the_insurer_gets_has_no_originals_and_no_place() -> None:
    held = members(a_bundle(for_insurer=True))
    photos = [data for name, data in held.items() if name.startswith("photos/")]
    assert len(photos) == 1
    with Image.open(io.BytesIO(photos[0])) as picture:
        assert picture.size == (480, 640)
        assert dict(picture.getexif()) == {}
    assert a_located_jpeg() not in held.values()
    listed = json.loads(held["manifest.json"])["members"]
    assert [member["original_sha256"] for member in listed if member["original_sha256"]] == [
        sha256_of(a_located_jpeg())
    ]
    entries = json.loads(held["journal.json"])["entries"]
    assert [entry["kind"] for entry in entries][:2] == ["case opened", "photo added"]
    assert {entry["detail"] for entry in entries} == {""}


def test_what_the_insurer_got_is_not_imported() -> None:
    assert_refused(a_bundle(for_insurer=True), "made for an insurer")


def test_an_unknown_case_cannot_be_exported() -> None:
    with pytest.raises(NotFoundError):
        archive_of(a_store()).export(CaseId("nowhere"), by=ADMINISTRATOR)


def test_a_case_that_is_here_already_is_not_imported_twice() -> None:
    stores = a_store()
    archive_of(stores).import_bundle(GOOD, by=ADMINISTRATOR)
    with pytest.raises(InvalidInputError, match="here already"):
        archive_of(stores).import_bundle(GOOD, by=ADMINISTRATOR)
    assert stores.cases.count() == 1


def with_member(name: str, data: bytes = b"x") -> Callable[[], bytes]:
    return lambda: zipped({**members(GOOD), name: data})


def without(name: str) -> Callable[[], bytes]:
    return lambda: sealed({n: data for n, data in members(GOOD).items() if n != name})


def bent(name: str, old: bytes, new: bytes) -> Callable[[], bytes]:
    def bundle_with_bent_member() -> bytes:
        held = members(GOOD)
        assert old in held[name]
        return sealed({**held, name: held[name].replace(old, new)})

    return bundle_with_bent_member


def photo_name() -> str:
    return next(name for name in members(GOOD) if name.startswith("photos/"))


def a_twice_held_member() -> bytes:
    out = io.BytesIO(GOOD)
    with zipfile.ZipFile(out, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr("case.json", b"{}")
    return out.getvalue()


def a_link() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in members(GOOD).items():
            info = zipfile.ZipInfo(name)
            kind = stat.S_IFLNK if name.startswith("photos/") else stat.S_IFREG
            info.external_attr = (kind | 0o777) << 16
            archive.writestr(info, data)
    return out.getvalue()


def an_encrypted_member() -> bytes:
    data = bytearray(GOOD)
    for mark in (b"PK\x01\x02", b"PK\x03\x04"):
        at = data.index(mark)
        data[at + (8 if mark == b"PK\x01\x02" else 6)] |= 1
    return bytes(data)


def a_bomb() -> bytes:
    return zipped({**members(GOOD), "case.json": b" " * (MAX_TEXT_BYTES + 1)})


def a_lying_size() -> bytes:
    """Return a bundle whose case unpacks to more than its entry declares."""
    data = bytearray(zipped({**members(GOOD), "case.json": b" " * 1_000_000}))
    entry = data.index(b"PK\x01\x02", data.index(b"case.json", data.index(b"PK\x01\x02") - 50) - 60)
    while data[entry + 46 : entry + 55] != b"case.json":
        entry = data.index(b"PK\x01\x02", entry + 1)
    data[entry + 24 : entry + 28] = (10).to_bytes(4, "little")
    return bytes(data)


def an_edited_journal() -> bytes:
    held = members(GOOD)
    journal = json.loads(held["journal.json"])
    journal["entries"][1]["signed"]["by"] = "Somebody Else"
    return sealed({**held, "journal.json": canonical_json(journal).encode()})


def a_cut_journal() -> bytes:
    held = members(GOOD)
    journal = json.loads(held["journal.json"])
    journal["entries"].pop()
    return sealed({**held, "journal.json": canonical_json(journal).encode()})


def an_empty_journal() -> bytes:
    held = members(GOOD)
    return sealed({**held, "journal.json": b'{"entries":[],"format":1}'})


def a_journal_that_cannot_be_shown() -> bytes:
    held = members(GOOD)
    entries = journal_from_json(held["journal.json"].decode())
    entries[-1] = resealed(replace(entries[-1], kind="report\x00issued"))
    manifest = json.loads(held["manifest.json"]) | {"journal_head": entries[-1].entry_hash}
    return sealed(
        {
            **held,
            "manifest.json": canonical_json(manifest).encode(),
            "journal.json": journal_to_json(entries).encode(),
        }
    )


def resealed(entry: JournalEntry) -> JournalEntry:
    held = {field.name: getattr(entry, field.name) for field in fields(entry)}
    del held["entry_hash"]
    return replace(entry, entry_hash=entry_hash(**held))


def a_swapped_photo() -> bytes:
    return sealed({**members(GOOD), photo_name(): a_jpeg(seed=5)})


def a_lying_manifest() -> bytes:
    held = members(GOOD)
    manifest = json.loads(held["manifest.json"]) | {"journal_count": 99}
    return zipped({**held, "manifest.json": canonical_json(manifest).encode()})


HOSTILE: list[tuple[str, Callable[[], bytes], str]] = [
    ("nothing", lambda: b"", "no sound zip file"),
    ("not a zip", lambda: b"PK but no zip", "no sound zip file"),
    ("a cut zip", lambda: GOOD[:-40], "no sound zip file"),
    ("a photo", a_jpeg, "no sound zip file"),
    ("an empty zip", lambda: zipped({}), "has no 'manifest.json'"),
    ("a path that climbs", with_member("../../evil.txt"), r"holds '\.\./\.\./evil\.txt', which"),
    ("an absolute path", with_member("/etc/passwd"), "which does not belong there"),
    ("a path that climbs within", with_member("photos/../case.json"), "does not belong there"),
    ("a backslash", with_member("photos\\evil.jpg"), "does not belong there"),
    ("a drive", with_member("C:/evil.txt"), "does not belong there"),
    ("a folder", with_member("photos/"), "does not belong there"),
    ("an endless name", with_member("a" * 60_000), "which does not belong there"),
    ("a name of another tongue", with_member("photos/\u202egpj.exe"), "does not belong there"),
    ("an extra file", with_member("extra.txt"), "holds 'extra.txt', which does not belong there"),
    (
        "an extra photo",
        with_member(f"photos/{'ab' * 32}.jpg"),
        "does not hold the files that its manifest lists",
    ),
    (
        "a listed extra photo",
        lambda: sealed({**members(GOOD), f"photos/{'ab' * 32}.jpg": b"x"}),
        "does not hold just the photos and reports of its case",
    ),
    ("no manifest", lambda: zipped({"case.json": b"{}"}), "has no 'manifest.json'"),
    ("no case", without("case.json"), "has no 'case.json'"),
    ("no journal", without("journal.json"), "has no 'journal.json'"),
    ("a missing photo", without(photo_name()), "does not hold just the photos and reports"),
    ("a file twice", a_twice_held_member, "holds a file twice"),
    ("a link", a_link, "is a link instead of a file"),
    ("an encrypted file", an_encrypted_member, "is encrypted"),
    ("a bomb", a_bomb, "'case.json' in it is larger than 100 MB"),
    ("a size that lies", a_lying_size, "'case.json' in it is damaged"),
    (
        "a changed case",
        lambda: zipped({**members(GOOD), "case.json": b"{}"}),
        "'case.json' is not as its manifest says",
    ),
    (
        "a manifest that is no JSON",
        lambda: zipped({**members(GOOD), "manifest.json": b"{"}),
        "The bundle's manifest is not JSON",
    ),
    (
        "a manifest that is no text",
        lambda: zipped({**members(GOOD), "manifest.json": b"\xff\xfe"}),
        "'manifest.json' is no text",
    ),
    (
        "a newer bundle",
        lambda: zipped({**members(GOOD), "manifest.json": b'{"format":2}'}),
        "made by a newer version",
    ),
    (
        "a newer case",
        bent("case.json", b'"format":1', b'"format":2'),
        "The case file was made by a newer version",
    ),
    ("a wrong case", bent("case.json", b'"revision":4', b'"revision":"4"'), "wrong at 'revision'"),
    (
        "a case that its journal does not know",
        bent("case.json", b"Invented hatchback", b"Invented estate"),
        "its case is not the one that its journal ends with",
    ),
    ("an edited journal", an_edited_journal, "journal is broken at entry 2"),
    ("a cut journal", a_cut_journal, "its case is not the one that its journal ends with"),
    (
        "a journal that cannot be shown",
        a_journal_that_cannot_be_shown,
        "its journal holds characters that cannot be shown",
    ),
    ("an empty journal", an_empty_journal, "journal is broken at entry 1"),
    ("a swapped photo", a_swapped_photo, "is not the file that its case names"),
    ("a manifest that lies", a_lying_manifest, "names another case or journal than it holds"),
]


@pytest.mark.parametrize(
    ("hostile", "said"), [row[1:] for row in HOSTILE], ids=[row[0] for row in HOSTILE]
)
def test_a_hostile_bundle_is_refused_and_changes_nothing(
    hostile: Callable[[], bytes], said: str
) -> None:
    assert_refused(hostile(), said)


@settings(max_examples=400, deadline=None)
@given(at=st.integers(0, len(GOOD) - 1), flipped=st.integers(1, 255))
def test_a_flipped_byte_is_refused_or_does_no_harm(at: int, flipped: int) -> None:
    data = bytearray(GOOD)
    data[at] ^= flipped
    stores = a_store()
    try:
        case = archive_of(stores).import_bundle(bytes(data), by=ADMINISTRATOR)
    except BundleRejectedError:
        assert stores.cases.count() == 0
    else:  # a byte that says nothing, such as the time of a member
        assert archive_of(stores).export(case.id, by=ADMINISTRATOR) == GOOD


def test_too_many_members_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bundle, "MAX_MEMBERS", 3)
    assert_refused(GOOD, "holds over 3 files")


def test_a_bundle_that_is_too_large_in_all_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bundle, "MAX_TOTAL_BYTES", 1_000)
    assert_refused(GOOD, "would unpack to over")


def test_tidy_lists_orphans_and_deletes_them_only_when_told() -> None:
    stores = a_store()
    a_full_case(stores)
    needed = stores.blobs.names()
    orphan = stores.blobs.put(b"nobody's")
    archive = archive_of(stores)
    at_once = timedelta(0)
    assert archive.tidy(by=ADMINISTRATOR, settled_for=at_once) == [orphan]
    assert stores.blobs.exists(orphan)
    assert archive.tidy(by=ADMINISTRATOR, delete=True, settled_for=at_once) == [orphan]
    assert stores.blobs.names() == needed
    assert archive.tidy(by=ADMINISTRATOR, settled_for=at_once) == []


def test_tidy_leaves_alone_what_may_still_belong_to_an_upload() -> None:
    stores = a_store()
    orphan = stores.blobs.put(b"its case comes in a moment")
    assert archive_of(stores).tidy(by=ADMINISTRATOR, delete=True) == []
    assert stores.blobs.exists(orphan)
