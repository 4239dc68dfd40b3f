"""Strategies for findings and cases as the rules take them: everything known, unknown or mixed."""

from dataclasses import replace

from hypothesis import strategies as st

from rules import (
    CaseFacts,
    ComponentId,
    DamageId,
    Facts,
    Powertrain,
    Side,
    VehicleFacts,
    load_rulebook,
)

BOOK = load_rulebook()
COMPONENTS = tuple(BOOK.components)
DAMAGES = tuple(BOOK.damage_types)
ZONES = tuple(BOOK.zones)
SIGNS = sorted(BOOK.signs)

yes_no_unknown = st.sampled_from([True, False, None])
# Values around every limit of the book, and anything else.
distances_mm = st.sampled_from([None, 0.0, 299.9, 300.0, 300.1, 1000.0, 1000.1]) | st.floats(
    0, 9000
)
uncertainties_mm = st.sampled_from([None, 0.0, 10.0, 700.0]) | st.floats(0, 2000)
sizes_mm = st.sampled_from([None, 0.0, 0.4, 0.5, 1.0, 2.9, 3.0, 9.0, 10.0]) | st.floats(0, 5000)
voltages_v = st.sampled_from([None, 0.0, 12.0, 48.0, 60.0, 60.1, 400.0, 1000.1])


def findings(
    components: tuple[ComponentId, ...] = COMPONENTS, damages: tuple[DamageId, ...] = DAMAGES
) -> st.SearchStrategy[Facts]:
    return st.builds(
        Facts,
        finding_id=st.just("one"),
        component=st.sampled_from(components),
        damage=st.sampled_from(damages),
        zone=st.none() | st.sampled_from(ZONES),
        side=st.none() | st.sampled_from(list(Side)),
        length_mm=sizes_mm,
        width_mm=sizes_mm,
        depth_mm=sizes_mm,
        distance_to_hv_mm=distances_mm,
        distance_uncertainty_mm=uncertainties_mm,
        covers_off=yes_no_unknown,
        hv_conductor_visible=yes_no_unknown,
        hangs_free=yes_no_unknown,
        near_orange_area=st.booleans(),
        on_impact_line=yes_no_unknown,
    )


def vehicles() -> st.SearchStrategy[VehicleFacts]:
    return st.builds(
        VehicleFacts,
        system_voltage_v=voltages_v,
        powertrain=st.sampled_from(Powertrain),
        signs=st.dictionaries(st.sampled_from(SIGNS), yes_no_unknown),
        battery_seen_whole=yes_no_unknown,
    )


@st.composite
def cases(draw: st.DrawFn, *, min_size: int = 0, max_size: int = 6) -> CaseFacts:
    """Return a case whose findings are numbered from 1."""
    found = draw(st.lists(findings(), min_size=min_size, max_size=max_size))
    numbered = tuple(
        replace(one, finding_id=str(number)) for number, one in enumerate(found, start=1)
    )
    return CaseFacts(vehicle=draw(vehicles()), findings=numbered)
