"""What people say of photos: opinions that clear nothing, clocks, pins, pairs."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from rules import load_rulebook
from tests.builders import NOON, SIGNED, a_case, a_finding, a_mark, a_photo, some_tags
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.findings import is_near_orange
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import PhotoId
from triage_app.domain.photo_commands import (
    CompareClock,
    JudgeOrangeArea,
    PairPhotos,
    PartPhotos,
    PinPhoto,
)
from triage_app.domain.plan_view import PLAN_ZONES, zone_at
from triage_app.domain.proposals import Opinion
from triage_app.domain.signed import Signed

AREA = rectangle(0.35, 0.3, 0.5, 0.5)
PHOTO = a_photo(orange_areas=(AREA,))
NEARBY = a_finding(tags=some_tags("wheel_arch_liner", "scrape"), marks=(a_mark(photo=PHOTO),))


def camera_time(hour: int, minute: int = 0) -> datetime:
    return datetime(2031, 5, 4, hour, minute)  # noqa: DTZ001 - a camera's clock has no zone


def judged(case: Case, opinion: Opinion, reason: str = "It is a strap.") -> Case:
    command = JudgeOrangeArea(photo_id=PHOTO.id, area=0, opinion=opinion, reason=reason)
    return command.apply(case, SIGNED)


@pytest.mark.parametrize("opinion", list(Opinion))
def test_whatever_is_said_of_an_area_a_mark_near_it_stays_near(opinion: Opinion) -> None:
    """DESIGN section 2: a machine-made suggestion may add a flag, and no opinion removes it."""
    case = a_case(NEARBY, photos=(PHOTO,))
    assert is_near_orange(case, NEARBY)
    after = judged(case, opinion)
    assert is_near_orange(after, NEARBY)


def test_opinions_are_added_and_the_last_one_is_shown() -> None:
    case = judged(judged(a_case(photos=(PHOTO,)), Opinion.NO_CABLE), Opinion.CABLE, "It is hot.")
    (photo,) = case.photos
    assert [given.opinion for given in photo.orange_opinions] == [Opinion.NO_CABLE, Opinion.CABLE]
    last = photo.opinion_on(0)
    assert last is not None
    assert (last.reason, last.signed) == ("It is hot.", SIGNED)


def test_the_same_opinion_of_the_same_person_is_put_down_once() -> None:
    case = judged(a_case(photos=(PHOTO,)), Opinion.CABLE)
    later = Signed(by=SIGNED.by, at=NOON + timedelta(hours=1))
    again = JudgeOrangeArea(
        photo_id=PHOTO.id, area=0, opinion=Opinion.CABLE, reason="It is a strap."
    )
    assert again.apply(case, later) is case
    other = Signed(by="Sam Senior", at=later.at)
    assert len(again.apply(case, other).photos[0].orange_opinions) == 2


@pytest.mark.parametrize("area", [-1, 1, 20])
def test_an_area_that_is_not_there_is_refused(area: int) -> None:
    command = JudgeOrangeArea(photo_id=PHOTO.id, area=area, opinion=Opinion.CABLE, reason="Seen.")
    with pytest.raises(InvalidInputError, match="1 orange areas"):
        command.apply(a_case(photos=(PHOTO,)), SIGNED)


def test_an_opinion_needs_a_reason() -> None:
    with pytest.raises(InvalidInputError, match="Say why"):
        judged(a_case(photos=(PHOTO,)), Opinion.NO_CABLE, "  ")


def compared(case: Case, camera: str, shown: datetime, really: datetime) -> Case:
    return CompareClock(camera=camera, shown=shown, really=really).apply(case, SIGNED)


def two_cameras() -> Case:
    one = replace(a_photo(1), camera="Demo One", taken_at=camera_time(9))
    two = replace(a_photo(2), camera="Demo Two", taken_at=camera_time(8, 30))
    return a_case(photos=(one, two))


def test_a_clock_that_nobody_compared_tells_no_real_time() -> None:
    case = two_cameras()
    assert [case.really_taken_at(photo) for photo in case.photos] == [None, None]
    assert case.photos_by_time == case.photos


def test_photos_are_ordered_by_corrected_time() -> None:
    """The first camera runs an hour and a half fast, so that its photo came first."""
    case = compared(two_cameras(), "Demo One", camera_time(12), NOON - timedelta(minutes=90))
    case = compared(case, "", camera_time(12), NOON)
    one, two = case.photos
    assert case.really_taken_at(one) == datetime(2031, 5, 4, 7, 30, tzinfo=UTC)
    assert case.really_taken_at(two) == datetime(2031, 5, 4, 8, 30, tzinfo=UTC)
    assert case.photos_by_time == (one, two)
    slow = compared(case, "Demo One", camera_time(12), NOON + timedelta(minutes=90))
    assert slow.photos_by_time == (two, one)
    assert len(slow.clocks) == 2


def test_the_wall_clock_may_be_in_any_zone() -> None:
    east = timezone(timedelta(hours=2))
    case = compared(two_cameras(), "", camera_time(14), datetime(2031, 5, 4, 14, 0, tzinfo=east))
    assert case.really_taken_at(case.photos[0]) == datetime(2031, 5, 4, 7, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("camera", "shown", "really", "words"),
    [
        ("Other", camera_time(9), NOON, "No photo of this case"),
        ("", NOON, NOON, "no time zone"),
        ("", camera_time(9), camera_time(9), "needs its time zone"),
        ("", datetime(1990, 1, 1), NOON, "twenty years"),  # noqa: DTZ001 - no zone
    ],
)
def test_a_comparison_that_cannot_be_is_refused(
    camera: str, shown: datetime, really: datetime, words: str
) -> None:
    with pytest.raises(InvalidInputError, match=words):
        compared(two_cameras(), camera, shown, really)


def test_every_place_of_the_plan_is_in_a_zone_of_the_book() -> None:
    book = load_rulebook()
    for x in range(101):
        for y in range(101):
            assert zone_at(x / 100, y / 100) in book.zones
    assert {zone.zone for zone in PLAN_ZONES} == set(book.zones)


def test_left_on_the_plan_is_the_drivers_left() -> None:
    assert zone_at(0.05, 0.5) == "sill_left"
    assert zone_at(0.95, 0.2) == "front_right"
    assert zone_at(0.5, 0.5) == "battery_mid"


def test_a_photo_is_pinned_moved_and_unpinned() -> None:
    case = a_case(photos=(PHOTO,))
    pinned = PinPhoto(photo_id=PHOTO.id, x_frac=0.5, y_frac=0.2).apply(case, SIGNED)
    assert pinned.photos[0].plan_pin is not None
    assert pinned.photos[0].plan_pin.zone == "front_centre"
    assert PinPhoto(photo_id=PHOTO.id, x_frac=0.5, y_frac=0.2).apply(pinned, SIGNED) is pinned
    bare = PinPhoto(photo_id=PHOTO.id, x_frac=None, y_frac=None).apply(pinned, SIGNED)
    assert bare.photos[0].plan_pin is None
    with pytest.raises(InvalidInputError, match="outside the drawing"):
        PinPhoto(photo_id=PHOTO.id, x_frac=1.2, y_frac=0.2).apply(case, SIGNED)
    with pytest.raises(InvalidInputError, match="two numbers"):
        PinPhoto(photo_id=PHOTO.id, x_frac=0.5, y_frac=None).apply(case, SIGNED)


def test_photos_are_paired_once_and_parted() -> None:
    case = a_case(photos=(a_photo(1), a_photo(2)))
    one, two = (photo.id for photo in case.photos)
    paired = PairPhotos(before_id=one, after_id=two).apply(case, SIGNED)
    assert [(pair.before_id, pair.after_id) for pair in paired.photo_pairs] == [(one, two)]
    assert PairPhotos(before_id=one, after_id=two).apply(paired, SIGNED) is paired
    assert PartPhotos(before_id=one, after_id=two).apply(paired, SIGNED).photo_pairs == ()
    with pytest.raises(InvalidInputError, match="two photos"):
        PairPhotos(before_id=one, after_id=one).apply(case, SIGNED)
    with pytest.raises(NotFoundError):
        PairPhotos(before_id=one, after_id=PhotoId("gone")).apply(case, SIGNED)
