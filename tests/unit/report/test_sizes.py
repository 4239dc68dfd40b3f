"""A size from a photo is printed with its interval, until its outline is changed."""

from dataclasses import replace

from tests.builders import a_finding, a_mark
from triage_app.domain.case import Finding, Measures
from triage_app.domain.measuring import FromPhoto, Size
from triage_app.report import labels

_MARK = a_mark()


def _measured(size: Size) -> Finding:
    source = FromPhoto(
        size=size,
        photo_id=_MARK.photo_id,
        mark_id=_MARK.id,
        mark_revision=1,
        value_mm=310.0,
        standard_mm=3.4,
        low_mm=303.2,
        high_mm=317.6,
        scale="card 7",
    )
    measures = Measures(**{size.value: 310.0}, sources=(source,))  # type: ignore[arg-type]
    finding = a_finding()
    return replace(finding, marks=(_MARK,), tags=replace(finding.tags, measures=measures))


def test_the_interval_stands_beside_the_size() -> None:
    assert "Length 310 mm (303.2 to 317.6 mm, 95 %, from a photo)" in labels.sizes(
        _measured(Size.LENGTH)
    )


def test_an_outline_changed_since_is_said() -> None:
    for size, say in ((Size.LENGTH, labels.sizes), (Size.DISTANCE_TO_HV, labels.distance)):
        moved = replace(_measured(size), marks=(replace(_MARK, revision=2),))
        assert "outline" in say(moved)
        assert ("counts as near" if size is Size.DISTANCE_TO_HV else "not measured") in say(moved)
