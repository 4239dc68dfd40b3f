"""Millimetres from photos: the plane of a photo, sizes of marks, and their way to a finding.

A number comes with what it rests on, or not at all: NoScaleError says why there is none. Nothing
that a person typed is replaced unless that person says so.
"""

import logging
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from triage_app.domain.case import Case, Finding, Mark, Measures, Photo
from triage_app.domain.errors import InvalidInputError, NoScaleError, PhotoRejectedError
from triage_app.domain.geometry import Outline, rings_px
from triage_app.domain.ids import CaseId, FindingId, MarkId, PhotoId, Sha256
from triage_app.domain.measuring import (
    MAX_DEPTH_MM,
    FromPhoto,
    KnownDistance,
    KnownRectangle,
    MeasuredMm,
    Reference,
    Size,
)
from triage_app.domain.permissions import Action
from triage_app.domain.scale import CardKind, LensRecord
from triage_app.domain.scale_command import ScalePhoto
from triage_app.domain.signed import Operator
from triage_app.domain.vehicle import checked_number
from triage_app.imaging.camera_note import CameraNote, camera_note
from triage_app.imaging.decode import decode
from triage_app.imaging.lens import Lens, lens_from_note
from triage_app.imaging.plane import Plane
from triage_app.imaging.plane_sizes import Depth, OutlineSizes, gap, outline_sizes
from triage_app.imaging.reference_plane import plane_of_distance, plane_of_rectangle
from triage_app.imaging.scale_reading import read_plane
from triage_app.services.marking import Marking
from triage_app.services.permission import needs
from triage_app.services.ports import BlobStore, CaseStore
from triage_app.services.scale_records import ScaleRecords

_log = logging.getLogger(__name__)

_PLANES_KEPT = 64
_Rings = list[npt.NDArray[np.float64]]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkSizes:
    """What one mark measures. ``near_hv`` is None where no HV area was given or proposed."""

    mark: Mark
    sizes: OutlineSizes
    near_hv: MeasuredMm | None
    scale: str
    cautions: tuple[str, ...]


class Measuring:
    def __init__(
        self,
        *,
        cases: CaseStore,
        blobs: BlobStore,
        records: ScaleRecords,
        marking: Marking,
    ) -> None:
        self._cases = cases
        self._blobs = blobs
        self._records = records
        self._marking = marking
        self._read_plane = lru_cache(maxsize=_PLANES_KEPT)(self._read_plane_anew)

    @needs(Action.ADD_PHOTO)
    def set_reference(
        self, case_id: CaseId, photo_id: PhotoId, reference: Reference | None, *, by: Operator
    ) -> Case:
        """Give a photo its scale by a thing of known size; None takes it back."""
        return self._marking.apply(
            case_id, ScalePhoto(photo_id=photo_id, reference=reference), by=by
        ).case

    def plane_of(self, photo: Photo) -> Plane:
        """Return the plane of a photo of a case; raises NoScaleError with the reason."""
        sides = tuple(
            sorted((kind, side.side_mm) for kind, side in self._records.card_sides().items())
        )
        lenses = tuple(self._records.lenses())
        found = self._read_plane(photo.sha256, photo.reference, sides, lenses)
        if isinstance(found, str):
            raise NoScaleError(found)
        return found

    def sizes_of(
        self,
        photo: Photo,
        mark: Mark,
        *,
        depth: Depth,
        hv: Outline | None = None,
        hv_depth: Depth | None = None,
    ) -> MarkSizes:
        """Measure one mark; ``hv`` is an HV area on the same photo, else those proposed count.

        ``depth`` says how far the damage may lie off the plane of the scale, ``hv_depth`` the
        same of both the damage and the HV part; None is not known, and gives no distance.
        Raises NoScaleError.
        """
        _check_depth(depth)
        plane = self.plane_of(photo)
        outline = _rings(mark.outline, photo)
        areas = [hv] if hv is not None else list(photo.orange_areas)
        near_hv = None
        if hv_depth is not None and areas:
            _check_depth(hv_depth)
            near_hv = _nearest_hv(plane, outline, [_rings(area, photo) for area in areas], hv_depth)
        return MarkSizes(
            mark=mark,
            sizes=outline_sizes(plane, outline, depth),
            near_hv=near_hv,
            scale=self._scale_words(plane),
            cautions=plane.cautions,
        )

    def between(self, photo: Photo, one: Mark, other: Mark, *, depth: Depth) -> MeasuredMm:
        """Return the shortest way between two marks on one photo; raises NoScaleError."""
        _check_depth(depth)
        if not one.photo_id == other.photo_id == photo.id:
            raise InvalidInputError("The two marks are on different photos.")
        plane = self.plane_of(photo)
        return gap(plane, _rings(one.outline, photo), _rings(other.outline, photo), depth)

    @needs(Action.MARK)
    def use_sizes(
        self,
        case_id: CaseId,
        finding_id: FindingId,
        measured: MarkSizes,
        sizes: Sequence[Size],
        *,
        expected_revision: int,
        by: Operator,
        replace_typed: bool = False,
    ) -> Case:
        """Put measured sizes on a finding, each with its photo, mark and interval.

        Raises InvalidInputError where a size was typed and ``replace_typed`` is not given, and
        StaleCaseError where somebody else changed the finding since.
        """
        case = self._cases.get(case_id)
        finding = case.finding(finding_id)
        if not any(mark == measured.mark for mark in finding.marks):
            raise InvalidInputError("The mark was changed since it was measured; measure it again.")
        typed = typed_sizes(finding.tags.measures, sizes)
        if typed and not replace_typed:
            raise InvalidInputError(
                f"Finding {finding.number} has a typed {' and '.join(typed)}. Say that the "
                "measured one replaces it, or leave it out."
            )
        measures = _with_sizes(
            finding.tags.measures, measured, sizes, _photo_number(case, measured)
        )
        tags = replace(finding.tags, measures=measures)
        _log.info("sizes_from_photo case=%s sizes=%d", case_id, len(sizes))
        return self._marking.tag(
            case_id, finding_id, tags, expected_revision=expected_revision, by=by
        )

    def _scale_words(self, plane: Plane) -> str:
        if not plane.card_numbers:
            return plane.scale
        by = sorted({side.measured.by for side in self._records.card_sides().values()})
        return f"{plane.scale}, measured by {' and '.join(by)}"

    def _read_plane_anew(
        self,
        sha256: Sha256,
        reference: Reference | None,
        sides: tuple[tuple[CardKind, float], ...],
        lenses: tuple[LensRecord, ...],
    ) -> Plane | str:
        """Return the plane, or the sentence that says why there is none; both are kept."""
        data = self._blobs.get(sha256)
        try:
            return plane_from(data, reference=reference, sides_mm=dict(sides), lenses=lenses)
        except (NoScaleError, PhotoRejectedError) as error:
            return str(error)


def plane_from(
    data: bytes,
    *,
    reference: Reference | None,
    sides_mm: dict[CardKind, float],
    lenses: Sequence[LensRecord],
) -> Plane:
    """Return the plane of one photo file; raises NoScaleError, PhotoRejectedError."""
    pixels = decode(data).pixels
    lens = _lens(camera_note(data), pixels.size, lenses)
    match reference:
        case KnownRectangle():
            return plane_of_rectangle(reference, size_px=pixels.size, lens=lens)
        case KnownDistance():
            return plane_of_distance(reference, size_px=pixels.size, lens=lens)
        case None:
            return read_plane(np.asarray(pixels), sides_mm=sides_mm, lens=lens)


def typed_sizes(measures: Measures, sizes: Sequence[Size]) -> list[str]:
    """Return the names of those ``sizes`` that a person typed."""
    names = {Size.LENGTH: "length", Size.WIDTH: "width", Size.DISTANCE_TO_HV: "distance to HV"}
    return [
        names[size]
        for size in sizes
        if getattr(measures, size.value) is not None and measures.source_of(size) is None
    ]


def marks_to_measure(case: Case, finding: Finding) -> list[tuple[Photo, Mark]]:
    """Return the marks of a finding with their photos."""
    return [(case.photo(mark.photo_id), mark) for mark in finding.marks]


def mark_by_id(finding: Finding, mark_id: MarkId) -> Mark:
    for mark in finding.marks:
        if mark.id == mark_id:
            return mark
    raise InvalidInputError(f"Finding {finding.number} has no mark {mark_id}.")


def _lens(note: CameraNote, size_px: tuple[int, int], lenses: Sequence[LensRecord]) -> Lens:
    for record in lenses:
        if note.camera and record.camera == note.camera:
            spread = max(3 * record.focal_standard_frac, 0.01 * record.focal_frac)
            return Lens(
                focal_frac=record.focal_frac,
                focal_range=(record.focal_frac - spread, record.focal_frac + spread),
                k1=record.k1,
                k2=record.k2,
                k1_standard=record.k1_standard,
                is_calibrated=True,
            )
    return lens_from_note(note.film_mm, size_px)


def _check_depth(depth: Depth) -> None:
    for value in (depth.behind_mm, depth.before_mm):
        checked_number(value, "How far it lies off the plane of the scale in mm", 0, MAX_DEPTH_MM)


def _rings(outline: Outline, photo: Photo) -> _Rings:
    return [np.array(ring) for ring in rings_px(outline, photo.width_px, photo.height_px)]


def _nearest_hv(plane: Plane, outline: _Rings, areas: Sequence[_Rings], depth: Depth) -> MeasuredMm:
    """Return the way to that area whose near end is nearest."""
    if plane.camera is None:
        raise NoScaleError(
            "Two points give no perspective, so no distance to HV; lay a card or use a rectangle."
        )
    ways = [gap(plane, outline, area, depth) for area in areas]
    return min(ways, key=lambda way: way.low_mm)


def _with_sizes(
    measures: Measures, measured: MarkSizes, sizes: Sequence[Size], photo_number: int
) -> Measures:
    new = {
        Size.LENGTH: measured.sizes.length,
        Size.WIDTH: measured.sizes.width,
        Size.DISTANCE_TO_HV: measured.near_hv,
    }
    values: dict[str, float] = {}
    sources = [source for source in measures.sources if source.size not in sizes]
    for size in sizes:
        way = new[size]
        if way is None:
            raise InvalidInputError("There is no distance to HV to use; no HV area was measured.")
        source = _source(size, way, measured)
        sources.append(source)
        values[size.value] = source.value_mm
        if size is Size.DISTANCE_TO_HV:
            values["distance_uncertainty_mm"] = round(source.value_mm - source.low_mm, 1)
    how = f"From photo {photo_number}: {measured.scale}."
    kept = measures.measured_how
    if not kept or kept.startswith("From photo "):
        kept = how
    elif how not in kept:
        kept = f"{kept} {how}"
    return replace(measures, **values, sources=tuple(sources), measured_how=kept)  # type: ignore[arg-type]


def _source(size: Size, way: MeasuredMm, measured: MarkSizes) -> FromPhoto:
    """Return the provenance; rounded to tenths of a millimetre, the ends outwards."""
    return FromPhoto(
        size=size,
        photo_id=measured.mark.photo_id,
        mark_id=measured.mark.id,
        mark_revision=measured.mark.revision,
        value_mm=round(way.value_mm, 1),
        standard_mm=round(way.standard_mm, 2),
        low_mm=max(0.0, math.floor(way.low_mm * 10) / 10),
        high_mm=math.ceil(way.high_mm * 10) / 10,
        scale=measured.scale,
    )


def _photo_number(case: Case, measured: MarkSizes) -> int:
    return [photo.id for photo in case.photos].index(measured.mark.photo_id) + 1
