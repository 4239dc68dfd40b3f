"""Make-safe entries by chance: every kind of entry, every field."""

from datetime import UTC, datetime

from hypothesis import strategies as st

from triage_app.domain.ids import PhotoId, SafingId
from triage_app.domain.isolation import CurrentSystem, IsolationMeasurement, TwoVoltages
from triage_app.domain.safing.entries import (
    Current,
    Happened,
    Happening,
    Keeping,
    LayoutChosen,
    MakerProcedure,
    MeterCategory,
    PointReading,
    Protection,
    SafingEntry,
    SafingInstrument,
    StepDone,
    TemperatureReading,
    WatchSign,
)
from triage_app.domain.safing.layouts import HvLayout, HvUnit
from triage_app.domain.safing.steps import Step
from triage_app.domain.signed import Signed

_words = st.text(st.characters(categories=["L", "N"]), min_size=2, max_size=20)
_notes = st.just("") | _words
_times = st.datetimes(datetime(2030, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 - bounds
_volts = st.floats(-2_000, 2_000)
_maybe = st.none() | st.floats(0, 1_000)

instruments = st.builds(
    SafingInstrument,
    name=_words,
    serial=_notes,
    category=st.none() | st.sampled_from(MeterCategory),
    rated_v=_maybe,
    calibration_due=st.none() | st.dates(),
)
_steps = st.builds(
    lambda measured, **rest: StepDone(value=measured[0], unit=measured[1], **rest),
    st.tuples(st.none(), st.just("")) | st.tuples(st.floats(-1e6, 1e6), st.sampled_from("VA")),
    step=st.sampled_from(Step),
    reference=_notes,
    instead=_notes,
    instrument=st.none() | instruments,
    procedure=st.none()
    | st.builds(
        MakerProcedure,
        document=_words,
        document_date=_words,
        discharge_min=_maybe,
        limit_dc_v=_maybe,
    ),
    protection=st.none()
    | st.builds(
        Protection,
        reader=_words,
        glove_class=st.sampled_from(["00", "0", "1"]),
        gloves_tested_on=st.none() | st.dates(),
        gloves_issued_on=st.none() | st.dates(),
        air_tested_today=st.booleans(),
        leather_over_rubber=st.booleans(),
        face_and_arc=st.booleans(),
    ),
    points=st.lists(_words, max_size=2).map(tuple),
)
_readings = st.builds(
    PointReading,
    point_id=_words,
    point_name=_words,
    turn=st.sampled_from([1, 2]),
    pole_to_pole_v=_volts,
    positive_to_chassis_v=_volts,
    negative_to_chassis_v=_volts,
    current=st.sampled_from(Current),
    contact_confirmed=st.booleans(),
)
_temperatures = st.builds(
    TemperatureReading,
    place=_words,
    value_c=st.floats(-60, 1_000),
    ambient_c=st.none() | st.floats(-60, 100),
    instrument=instruments,
    signs=st.lists(st.sampled_from(WatchSign), unique=True).map(tuple),
    kept=st.sampled_from(Keeping),
)
_layouts = st.builds(
    HvLayout,
    units=st.lists(st.sampled_from(HvUnit)).map(lambda some: (HvUnit.BATTERY_OUTPUT, *some)),
    extra=st.lists(_words, max_size=2, unique=True).map(tuple),
    document=_words,
)
_two_voltages = st.builds(
    lambda vb, share, fall, ohm: TwoVoltages(
        vb=vb,
        v1=vb * share,
        v2=vb * (1 - share),
        resistor_ohm=ohm,
        v_prime=vb * max(share, 1 - share) * fall,
    ),
    st.floats(10, 1_000),
    st.floats(0.1, 0.9),
    st.floats(0.1, 0.9),
    st.floats(1e3, 1e6),
)
_isolation = st.builds(
    lambda method, **rest: IsolationMeasurement(**method, **rest),
    _two_voltages.map(lambda given: {"two_voltages": given})
    | st.fixed_dictionaries(
        {
            "positive_ohm": st.floats(0, 1e12),
            "negative_ohm": st.floats(0, 1e12),
            "test_v": st.floats(1_000, 2_000),
        }
    ),
    island=_words,
    working_v=st.floats(1, 1_000),
    system=st.sampled_from(CurrentSystem),
    instrument=_words,
    procedure=_words,
)
entered = (
    _steps
    | _readings
    | _temperatures
    | st.sampled_from(Happening).map(lambda what: Happened(what=what))
    | _layouts.map(lambda layout: LayoutChosen(layout=layout))
    | _isolation
)


@st.composite
def safing_entries(draw: st.DrawFn, photo_count: int) -> tuple[SafingEntry, ...]:
    photos = [None, *(PhotoId(f"P{number}") for number in range(1, photo_count + 1))]
    return tuple(
        SafingEntry(
            id=SafingId(f"S{number}"),
            number=number,
            what=draw(entered),
            done_at=draw(_times),
            note=draw(_notes),
            photo_id=draw(st.sampled_from(photos)),
            recorded=Signed(by=draw(_words), at=draw(_times)),
        )
        for number in range(1, draw(st.integers(0, 4)) + 1)
    )
