"""The temperature plot: a line and a key entry per place, whatever the names."""

from datetime import timedelta
from io import BytesIO

import pytest
from PIL import Image

from tests.builders import NOON
from tests.safing_records import POLICY, a_temperature, entered
from triage_app.domain.safing.watch import Watch, watch_of
from triage_app.imaging.temperature_plot import temperature_plot

SIZE = (800, 290)
KEY_ROWS = 16  # The strip above the plot that names the places.


def a_watch(*places: str) -> Watch:
    readings = [a_temperature(20.0 + turn, place) for turn in (0, 1) for place in places]
    return watch_of(entered(readings, start=NOON, every=timedelta(minutes=10)), POLICY)


def ink_in_key(watch: Watch) -> int:
    """Return how many columns of the strip above the plot hold anything dark."""
    plot = Image.open(BytesIO(temperature_plot(watch, width_px=SIZE[0], height_px=SIZE[1])))
    assert plot.size == SIZE
    strip = plot.convert("L").crop((60, 0, SIZE[0], KEY_ROWS))
    return sum(
        min(strip.getpixel((x, y)) for y in range(strip.height)) < 120  # type: ignore[type-var,operator]  # grey: one number
        for x in range(strip.width)
    )


def test_each_place_is_named_above_the_plot() -> None:
    one, two = a_watch("front"), a_watch("front", "rear left")
    assert 0 < ink_in_key(one) < ink_in_key(two)


def test_names_that_do_not_fit_end_in_dots_and_not_off_the_picture() -> None:
    long = a_watch(
        "front", "under the second row of seats, beside the left-hand jacking point " * 2
    )
    assert 0 < ink_in_key(long) < 2 * ink_in_key(a_watch("front"))


def test_without_a_reading_there_is_nothing_to_draw() -> None:
    with pytest.raises(ValueError, match="no temperature"):
        temperature_plot(a_watch(), width_px=SIZE[0], height_px=SIZE[1])
