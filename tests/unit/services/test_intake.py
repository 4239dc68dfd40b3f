"""Intake: each file is answered on its own, and nothing is lost."""

import hashlib
import io

import pytest
from PIL import Image

from tests.builders import ADJUSTER, ESTIMATOR, a_jpeg, an_estimator
from tests.unit.services.shop import a_shop
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.ids import CaseId, PhotoId
from triage_app.domain.vehicle import Vehicle
from triage_app.services.intake import PhotoAnswer


def test_a_case_without_a_reference_gets_the_next_free_one() -> None:
    shop = a_shop()
    shop.intake.open_case(by=ESTIMATOR, reference="2031-0002")
    first = shop.intake.open_case(by=ESTIMATOR)
    second = shop.intake.open_case(by=ESTIMATOR)
    assert {first.reference, second.reference}.isdisjoint({"2031-0002"})
    assert first.reference != second.reference


def test_a_taken_reference_is_refused() -> None:
    shop = a_shop()
    shop.intake.open_case(by=ESTIMATOR, reference="R-1")
    with pytest.raises(InvalidInputError):
        shop.intake.open_case(by=ESTIMATOR, reference=" R-1 ")


@pytest.mark.parametrize("reference", ["x" * 61, "\x00"])
def test_a_reference_that_cannot_be_one_is_refused(reference: str) -> None:
    with pytest.raises(InvalidInputError):
        a_shop().intake.open_case(by=ESTIMATOR, reference=reference)


def test_the_original_is_kept_byte_for_byte_under_its_hash() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    data = a_jpeg(orientation=6)
    outcome = shop.intake.add_photo(case.id, data, file_name="a.jpg", by=ESTIMATOR)
    assert outcome.answer is PhotoAnswer.ACCEPTED
    assert outcome.photo is not None
    assert outcome.photo.sha256 == hashlib.sha256(data).hexdigest()
    assert (outcome.photo.width_px, outcome.photo.height_px) == (480, 640)
    assert shop.blobs.get(outcome.photo.sha256) == data


def test_the_same_bytes_twice_are_one_photo() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    files = [("a.jpg", a_jpeg()), ("b.jpg", a_jpeg())]
    answers = [o.answer for o in shop.intake.add_photos(case.id, files, by=ESTIMATOR)]
    assert answers == [PhotoAnswer.ACCEPTED, PhotoAnswer.DUPLICATE]
    assert len(shop.cases.get(case.id).photos) == 1


def test_what_somebody_else_adds_meanwhile_stays_and_is_a_duplicate() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    files = [(f"{n}.jpg", a_jpeg(seed=n)) for n in range(3)]
    theirs = a_jpeg(seed=3)

    def meanwhile(done: int, _: int) -> None:
        if done == 1:
            for data in (theirs, files[2][1]):
                shop.intake.add_photo(case.id, data, file_name="theirs.jpg", by=ESTIMATOR)

    outcomes = shop.intake.add_photos(case.id, files, by=ESTIMATOR, progress=meanwhile)
    assert [outcome.answer for outcome in outcomes] == [
        PhotoAnswer.ACCEPTED,
        PhotoAnswer.ACCEPTED,
        PhotoAnswer.DUPLICATE,
    ]
    assert len(shop.cases.get(case.id).photos) == 4


def test_one_bad_file_does_not_disturb_the_others_and_progress_is_told() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    steps: list[tuple[int, int]] = []
    files = [
        ("a.jpg", a_jpeg()),
        ("empty.jpg", b""),
        ("notes.jpg", b"words"),
        ("b.jpg", a_jpeg(seed=2)),
    ]
    outcomes = shop.intake.add_photos(
        case.id, files, by=ESTIMATOR, progress=lambda done, total: steps.append((done, total))
    )
    assert [o.answer for o in outcomes] == [
        PhotoAnswer.ACCEPTED,
        PhotoAnswer.REFUSED,
        PhotoAnswer.REFUSED,
        PhotoAnswer.ACCEPTED,
    ]
    assert all(o.reason for o in outcomes if o.answer is PhotoAnswer.REFUSED)
    assert steps == [(1, 4), (2, 4), (3, 4), (4, 4)]
    assert shop.blobs.names() == {p.sha256 for p in shop.cases.get(case.id).photos}


def test_a_photo_for_a_missing_case_is_refused_loudly() -> None:
    with pytest.raises(NotFoundError):
        a_shop().intake.add_photo(CaseId("none"), a_jpeg(), file_name="a.jpg", by=ESTIMATOR)


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        pytest.param("../../etc/passwd", "passwd", id="path parts"),
        pytest.param("C:\\phone\\a.jpg", "a.jpg", id="windows path"),
        pytest.param("a\x00b\n.jpg", "ab.jpg", id="control characters"),
        pytest.param("x" * 300 + ".jpg", "x" * 120, id="300 characters"),
        pytest.param("gpj.\u202eexe", "gpj.exe", id="right-to-left override"),
        pytest.param("", "photo", id="empty"),
        pytest.param("..", "..", id="dots are only shown, never a path"),
    ],
)
def test_a_file_name_is_only_ever_shown(given: str, shown: str) -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    outcome = shop.intake.add_photo(case.id, a_jpeg(), file_name=given, by=ESTIMATOR)
    assert outcome.file_name == shown


def test_the_picture_that_goes_out_is_upright_and_carries_no_metadata() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    photo = shop.intake.add_photo(
        case.id, a_jpeg(orientation=8), file_name="a.jpg", by=ESTIMATOR
    ).photo
    assert photo is not None
    picture = Image.open(
        io.BytesIO(shop.intake.photo_jpeg(case.id, photo.id, by=ADJUSTER, longest_side_px=320))
    )
    assert picture.size == (240, 320)
    assert dict(picture.getexif()) == {}
    with pytest.raises(NotFoundError):
        shop.intake.photo_jpeg(case.id, PhotoId("other"), by=ADJUSTER)


def test_what_is_written_down_of_the_car_replaces_and_the_journal_keeps_both() -> None:
    shop = a_shop()
    case = shop.intake.open_case(by=ESTIMATOR)
    shop.intake.describe_vehicle(case.id, Vehicle(plate="AA 1"), by=ESTIMATOR)
    after = shop.intake.describe_vehicle(
        case.id, Vehicle(plate="BB 2"), by=an_estimator("Sam Second")
    )
    assert after.vehicle.plate == "BB 2"
    entries = shop.cases.journal(case.id)
    assert [e.kind for e in entries] == ["case opened", "vehicle described", "vehicle described"]
    assert entries[-1].signed.by == "Sam Second"
    assert "AA 1" in entries[-1].detail
    assert "BB 2" in entries[-1].detail
