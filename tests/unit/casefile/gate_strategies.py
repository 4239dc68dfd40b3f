"""Entries of the gate and of the checklist by chance, only such as a case may hold."""

from datetime import UTC, datetime

from hypothesis import strategies as st

from rules import ComponentId, ZoneId
from triage_app.domain.admission.entries import (
    AdmissionEntry,
    HoldCause,
    HoldDecided,
    SignAnswered,
    Verdict,
)
from triage_app.domain.ids import AdmissionId, InspectionId, PhotoId
from triage_app.domain.inspection.entries import (
    ExpectedPhoto,
    InspectionEntry,
    Item,
    ItemsInspected,
    ItemState,
    PhotosPointedAt,
)
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import SIGNS, Answer

_words = st.text(st.characters(categories=["L", "N", "P"]), min_size=1, max_size=20)
_times = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 - bounds
_signatures = st.builds(Signed, by=_words, at=_times)
_signs = st.sampled_from(SIGNS)
answered = st.builds(
    SignAnswered, sign=_signs, answer=st.sampled_from(Answer), note=st.just("") | _words
)
_parts = st.sampled_from(["radiator", "hv_cable", "wheel"]).map(ComponentId)


@st.composite
def admission_entries(draw: st.DrawFn) -> tuple[AdmissionEntry, ...]:
    entries: list[AdmissionEntry] = []
    for number in range(1, draw(st.integers(0, 4)) + 1):
        known = st.sampled_from([None, *(entry.id for entry in entries)])
        causes = st.builds(
            HoldCause, sign=_signs, answer=st.sampled_from(Answer), answered_in=known
        )
        decided = st.builds(
            HoldDecided,
            verdict=st.sampled_from(Verdict),
            reason=_words,
            seen=st.lists(causes, max_size=3).map(tuple),
        )
        entries.append(
            AdmissionEntry(
                id=AdmissionId(f"A{number}"),
                number=number,
                what=draw(answered | decided),
                recorded=draw(_signatures),
            )
        )
    return tuple(entries)


@st.composite
def items_inspected(draw: st.DrawFn) -> ItemsInspected:
    zone = ZoneId(draw(st.sampled_from(["front_end", "rear_left"])))
    parts = draw(st.lists(_parts, min_size=1, max_size=3, unique=True))
    return ItemsInspected(
        items=tuple(Item(zone=zone, component=part) for part in parts),
        state=draw(st.sampled_from(ItemState)),
        reason=draw(st.just("") | _words),
        covers_off=draw(st.none() | st.booleans()),
    )


@st.composite
def photos_pointed_at(draw: st.DrawFn, photo_count: int) -> PhotosPointedAt:
    shown = draw(st.integers(0, photo_count))
    return PhotosPointedAt(
        expected=draw(st.sampled_from(ExpectedPhoto)),
        photo_ids=tuple(PhotoId(f"P{number}") for number in range(1, shown + 1)),
        reason="" if shown else draw(_words),
    )


@st.composite
def inspection_entries(draw: st.DrawFn, photo_count: int) -> tuple[InspectionEntry, ...]:
    return tuple(
        InspectionEntry(
            id=InspectionId(f"I{number}"),
            number=number,
            what=draw(items_inspected() | photos_pointed_at(photo_count)),
            recorded=draw(_signatures),
        )
        for number in range(1, draw(st.integers(0, 4)) + 1)
    )
