"""What the browser sends is never trusted, each gesture counts once, and none is lost."""

import json
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage_app.domain.errors import NotAllowedError, StaleCaseError, StorageError
from triage_app.domain.geometry import (
    Ellipse,
    Outline,
    Point,
    Rings,
    RingShape,
    bounds,
    polygon,
    rectangle,
    rings_px,
)
from triage_app.domain.ids import FindingId, MarkId
from triage_app.ui.widgets.photo_canvas import Delete, Draw, Gesture, Redo, Reshape, Select, Undo
from triage_app.ui.widgets.photo_canvas.component import compact, script
from triage_app.ui.widgets.photo_canvas.exchange import KEPT_ANSWERS, Exchange
from triage_app.ui.widgets.photo_canvas.gestures import MAX_GESTURES, Refused, parse_gestures
from triage_app.ui.widgets.photo_canvas.outlines import PhotoSize, outline_data, parse_outline

SIZE = PhotoSize(width_px=4032, height_px=3024)
BOX = rectangle(0.1, 0.2, 0.3, 0.4)


def draw(seq: int = 1, **changes: object) -> dict[str, object]:
    outline = outline_data(BOX)
    return {"seq": seq, "kind": "draw", "mark_id": "m1", "outline": outline, **changes}


def only(entry: object) -> Gesture | Refused:
    (parsed,) = parse_gestures([entry], SIZE)
    return parsed


def sentence(entry: object) -> str:
    parsed = only(entry)
    assert isinstance(parsed, Refused)
    return parsed.sentence


def test_every_gesture_is_read_as_it_was_meant() -> None:
    sent = [
        draw(1),
        draw(2, same_finding_id="f3"),
        {
            "seq": 3,
            "kind": "reshape",
            "mark_id": "m1",
            "outline": outline_data(BOX),
            "base_revision": 4,
        },
        {"seq": 4, "kind": "delete", "mark_id": "m1"},
        {"seq": 5, "kind": "select", "mark_id": "m1"},
        {"seq": 6, "kind": "select", "mark_id": None},
        {"seq": 7, "kind": "undo"},
        {"seq": 8, "kind": "redo"},
    ]
    mark = MarkId("m1")
    assert parse_gestures(json.loads(json.dumps(sent)), SIZE) == [
        Draw(seq=1, mark_id=mark, outline=BOX),
        Draw(seq=2, mark_id=mark, outline=BOX, same_finding_id=FindingId("f3")),
        Reshape(seq=3, mark_id=mark, outline=BOX, base_revision=4),
        Delete(seq=4, mark_id=mark),
        Select(seq=5, mark_id=mark),
        Select(seq=6, mark_id=None),
        Undo(seq=7),
        Redo(seq=8),
    ]


def test_gestures_come_in_their_own_order_each_once_and_only_new_ones() -> None:
    sent = [{"seq": seq, "kind": "undo"} for seq in (5, 3, 4, 3, 2)]
    assert [one.seq for one in parse_gestures(sent, SIZE, after=2)] == [3, 4, 5]


@pytest.mark.parametrize(
    "value",
    [None, "", 7, {}, {"gestures": []}, [None], [[]], ["draw"], [{}], [{"kind": "undo"}]],
    ids=repr,
)
def test_what_is_no_numbered_gesture_is_dropped(value: object) -> None:
    assert parse_gestures(value, SIZE) == []


@pytest.mark.parametrize("seq", [0, -1, True, 1.0, "1", None, 2**53, 10**400, [1]], ids=str)
def test_a_gesture_without_a_usable_number_is_dropped(seq: object) -> None:
    assert parse_gestures([{"seq": seq, "kind": "undo"}], SIZE) == []


@pytest.mark.parametrize("kind", [None, "", "drop table", 3, ["draw"], {"a": 1}], ids=repr)
def test_an_unknown_gesture_is_answered(kind: object) -> None:
    assert "unknown" in sentence({"seq": 1, "kind": kind})


@pytest.mark.parametrize(
    "mark_id",
    [None, 5, "", "../m", "a b", "m\n", "m\0", "x" * 65, "-m", "ä", {"id": "m"}],
    ids=repr,
)
def test_an_identifier_that_cannot_be_one_is_answered(mark_id: object) -> None:
    assert "identifier" in sentence(draw(mark_id=mark_id))
    assert "identifier" in sentence(draw(same_finding_id=mark_id if mark_id is not None else 0))


@pytest.mark.parametrize("revision", [None, 0, -3, 1.5, "1", True, 10**400], ids=str)
def test_a_revision_that_cannot_be_one_is_answered(revision: object) -> None:
    entry = draw(kind="reshape", base_revision=revision)
    assert "revision" in sentence(entry)


def ring(*points: object) -> dict[str, object]:
    return {"shape": "polygon", "rings": [list(points)]}


def ellipse(**changes: object) -> dict[str, object]:
    whole = {"shape": "ellipse", "centre": [0.5, 0.5], "radii_px": [90, 40], "angle_deg": 0}
    return {**whole, **changes}


SQUARE = [[0.1, 0.1], [0.2, 0.1], [0.2, 0.2], [0.1, 0.2]]


@pytest.mark.parametrize(
    ("outline", "says"),
    [
        (None, "could not be read"),
        ([], "could not be read"),
        ({"shape": "star", "rings": [SQUARE]}, "could not be read"),
        ({"shape": ["polygon"], "rings": [SQUARE]}, "could not be read"),
        ({"shape": "polygon"}, "could not be read"),
        ({"shape": "polygon", "rings": "0,0"}, "could not be read"),
        ({"shape": "polygon", "rings": []}, "1 to 20 rings"),
        ({"shape": "polygon", "rings": [SQUARE] * 21}, "could not be read"),
        ({"shape": "rectangle", "rings": [SQUARE[:3]]}, "four corners"),
        ({"shape": "rectangle", "rings": [SQUARE, SQUARE]}, "four corners"),
        (ring(), "3 or more points, got 0"),
        (ring([0.1, 0.1], [0.2, 0.2]), "3 or more points, got 2"),
        (ring([0.1, 0.1], [0.1, 0.1], [0.2, 0.2]), "3 or more points, got 2"),
        (ring([0.1, 0.1], [0.2, 0.2], [0.3, 0.3]), "no area"),
        (ring(*([[0.1, 0.1]] * 2_001)), "at most 2000 points"),
        (ring([0.1, 0.1], [0.2, 0.1], [1.01, 0.2]), "outside the photo"),
        (ring([0.1, 0.1], [0.2, 0.1], [0.2, -0.01]), "outside the photo"),
        (ring([0.1, 0.1], [0.2, 0.1], [math.nan, 0.2]), "not a number"),
        (ring([0.1, 0.1], [0.2, 0.1], [math.inf, 0.2]), "not a number"),
        (ring([0.1, 0.1], [0.2, 0.1], [10**400, 0.2]), "not a number"),
        (ring([0.1, 0.1], [0.2, 0.1], ["0.2", 0.2]), "could not be read"),
        (ring([0.1, 0.1], [0.2, 0.1], [True, 0.2]), "could not be read"),
        (ring([0.1, 0.1], [0.2, 0.1], [0.2]), "could not be read"),
        (ring([0.1, 0.1], [0.2, 0.1], [0.2, 0.2, 0.2]), "could not be read"),
        (ring([0.1, 0.1], [0.2, 0.1], None), "could not be read"),
        (ellipse(centre=[1.5, 0.5]), "outside the photo"),
        (ellipse(centre="middle"), "could not be read"),
        (ellipse(radii_px=[0, 40]), "greater than zero"),
        (ellipse(radii_px=[90, -1]), "greater than zero"),
        (ellipse(radii_px=[math.nan, 40]), "not a number"),
        (ellipse(radii_px=[90]), "could not be read"),
        (ellipse(radii_px=[5_000, 40]), "outside the photo"),
        (ellipse(angle_deg=None), "could not be read"),
        (ellipse(angle_deg=math.inf), "not a number"),
    ],
    ids=repr,
)
def test_an_outline_that_cannot_be_right_is_answered(outline: object, says: str) -> None:
    assert says in sentence(draw(outline=outline))


def test_more_gestures_than_one_batch_holds_are_left_for_the_next() -> None:
    sent = [{"seq": seq, "kind": "undo"} for seq in range(1, MAX_GESTURES + 50)]
    assert len(parse_gestures(sent, SIZE)) == MAX_GESTURES


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)
KEYS = st.sampled_from(
    ["seq", "kind", "mark_id", "outline", "base_revision", "same_finding_id", "shape", "rings"]
)
GESTURE_LIKE = st.fixed_dictionaries(
    {"seq": st.integers(-2, 9), "kind": st.sampled_from(["draw", "reshape", "select", "delete"])},
    optional={
        "mark_id": JSON,
        "base_revision": JSON,
        "outline": st.dictionaries(KEYS, JSON) | st.just(outline_data(BOX)) | JSON,
    },
)


@given(JSON | st.lists(GESTURE_LIKE | JSON, max_size=8))
def test_nothing_that_can_be_sent_breaks_the_page(value: object) -> None:
    for one in parse_gestures(value, SIZE):
        assert one.seq >= 1


def fractions(low: float = 0.0, high: float = 1.0) -> st.SearchStrategy[float]:
    return st.floats(low, high)


@st.composite
def outlines(draw_from: st.DrawFn) -> Outline:
    kind = draw_from(st.sampled_from(["rectangle", "polygon", "ellipse"]))
    if kind == "rectangle":
        left, top = draw_from(fractions(0, 0.4)), draw_from(fractions(0, 0.4))
        return rectangle(
            left, top, draw_from(fractions(left + 0.01, 1)), draw_from(fractions(top + 0.01, 1))
        )
    if kind == "polygon":
        lows = st.tuples(fractions(0, 0.3), fractions(0, 0.3))
        rights = st.tuples(fractions(0.6, 1), fractions(0, 0.3))
        bottoms = st.tuples(fractions(0.3, 0.6), fractions(0.6, 1))
        return polygon([draw_from(lows), draw_from(rights), draw_from(bottoms)])
    return Ellipse(
        centre=Point(draw_from(fractions(0.4, 0.6)), draw_from(fractions(0.4, 0.6))),
        radius_x_px=draw_from(st.floats(1, 900)),
        radius_y_px=draw_from(st.floats(1, 900)),
        angle_deg=draw_from(st.floats(-180, 180)),
    )


@given(outlines())
def test_an_outline_survives_the_way_to_the_browser_and_back_unchanged(outline: Outline) -> None:
    assert parse_outline(json.loads(json.dumps(outline_data(outline))), SIZE) == outline


SIZES = st.sampled_from([(4032, 3024), (3024, 4032), (8064, 6048), (640, 479), (1, 1)])


@given(outlines(), SIZES)
def test_fractions_become_pixels_and_the_same_fractions_again(
    outline: Outline, size: tuple[int, int]
) -> None:
    width_px, height_px = size
    if isinstance(outline, Rings):
        for place, (x_px, y_px) in zip(
            outline.rings[0], rings_px(outline, width_px, height_px)[0], strict=True
        ):
            assert x_px / width_px == pytest.approx(place.x_frac, abs=1e-12)
            assert y_px / height_px == pytest.approx(place.y_frac, abs=1e-12)
    else:
        box = bounds(outline, 4032, 3024)
        middle_frac = (box.left + box.right) / 2, (box.top + box.bottom) / 2
        assert middle_frac == pytest.approx(
            (outline.centre.x_frac, outline.centre.y_frac), abs=1e-3
        )


class Page:
    """Stands for the page behind the canvas: notes what it was asked, or refuses."""

    def __init__(self, refuse: Callable[[Gesture], Exception | None] = lambda _: None) -> None:
        self.asked: list[int] = []
        self.refuse = refuse

    def __call__(self, gesture: Gesture) -> None:
        error = self.refuse(gesture)
        if error:
            raise error
        self.asked.append(gesture.seq)


def send(exchange: Exchange, page: Page, *seqs: int, session: str | None = None) -> None:
    gestures = [{"seq": seq, "kind": "delete", "mark_id": f"m{seq}"} for seq in seqs]
    value = {"session": session or exchange.session, "attempt": 1, "gestures": gestures}
    exchange.take(value, SIZE, page)


def test_the_whole_queue_may_be_sent_again_and_each_gesture_counts_once() -> None:
    exchange, page = Exchange(), Page()
    send(exchange, page, 1)
    send(exchange, page, 1, 2, 3)
    send(exchange, page, 2, 3, 4)
    assert page.asked == [1, 2, 3, 4]
    assert exchange.seen == 4


def test_a_new_session_does_not_act_on_what_an_earlier_one_left_in_the_page() -> None:
    """After a server restart Streamlit sends the last value again; it may be long out of date."""
    exchange, page = Exchange(), Page()
    send(exchange, page, 1, 2, session=Exchange().session)
    assert page.asked == []
    assert exchange.seen == 0


@pytest.mark.parametrize(
    "value", [None, [], "x", {}, {"session": None}, {"gestures": []}], ids=repr
)
def test_what_is_no_message_at_all_is_ignored(value: object) -> None:
    exchange, page = Exchange(), Page()
    exchange.take(value, SIZE, page)
    assert (exchange.seen, page.asked) == (0, [])


def test_a_refused_gesture_is_answered_and_the_others_are_carried_out() -> None:
    exchange = Exchange()
    page = Page(lambda one: StaleCaseError("Theirs is kept.") if one.seq == 2 else None)
    send(exchange, page, 1, 2, 3)
    assert page.asked == [1, 3]
    assert exchange.refused == [Refused(seq=2, sentence="Theirs is kept.")]
    assert exchange.seen == 3


@pytest.mark.parametrize(
    "error", [StorageError("Disk full."), NotAllowedError("Sign in.")], ids=repr
)
def test_what_cannot_be_stored_now_stays_with_the_browser_in_order(error: Exception) -> None:
    trouble: list[Exception] = [error]
    exchange = Exchange()
    page = Page(lambda one: trouble[0] if trouble and one.seq >= 2 else None)
    send(exchange, page, 1, 2, 3)
    assert (page.asked, exchange.seen, exchange.held) == ([1], 1, str(error))
    assert exchange.refused == []
    trouble.clear()
    send(exchange, page, 2, 3)
    assert (page.asked, exchange.seen, exchange.held) == ([1, 2, 3], 3, "")


def test_a_fault_of_ours_is_not_taken_for_an_answer() -> None:
    exchange = Exchange()
    page = Page(lambda one: ZeroDivisionError() if one.seq == 2 else None)
    with pytest.raises(ZeroDivisionError):
        send(exchange, page, 1, 2, 3)
    assert exchange.seen == 1


def test_only_the_latest_answers_are_kept() -> None:
    exchange, page = Exchange(), Page(lambda _: StaleCaseError("no"))
    send(exchange, page, *range(1, KEPT_ANSWERS + 6))
    assert [one.seq for one in exchange.refused] == list(range(6, KEPT_ANSWERS + 6))


def test_the_code_for_the_browser_is_whole_and_never_looks_like_a_file_name() -> None:
    code = script()
    assert code.count("\n") > 100
    assert "export default function" in code
    assert "const MARKUP = " in code
    assert not [line for line in code.splitlines() if line.startswith("//")]


def test_compacting_leaves_code_and_drops_indentation_and_comments() -> None:
    assert compact("  // why\n\n  a();\n\tb('//');\n") == "a();\nb('//');\n"


def test_a_ring_shape_has_the_same_name_here_and_in_the_browser() -> None:
    code = script()
    for shape in RingShape:
        assert f'"{shape.value}"' in code
