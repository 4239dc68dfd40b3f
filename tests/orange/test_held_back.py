"""Orange areas on the half that was held back. ``tests/orange/measure.py`` prints the whole table.

The demo scenes' truth is the renderer's; the drawn scenes' is their own mask; no photograph of the
packages shows a car's HV cable (looked at one by one).
"""

import pytest

from tests.orange.drawn import Scene
from tests.orange.halves import HELD_BACK, LIGHTS, TUNE, relit
from tests.orange.measure import Count, counted, line, total

CUT_CABLE = next(scene for scene in HELD_BACK.scenes() if scene.name.startswith("03"))


def test_no_scene_is_in_both_halves() -> None:
    assert not set(TUNE.demo) & set(HELD_BACK.demo)
    assert not {one.name for one in TUNE.photographs()} & {
        one.name for one in HELD_BACK.photographs()
    }


@pytest.mark.parametrize("name", ["01", "03", "07", "08"])
def test_every_large_cable_area_of_a_demo_scene_held_back_is_found(name: str) -> None:
    scene = next(one for one in HELD_BACK.scenes() if one.name.startswith(name))
    count = counted(scene)
    assert count.large_found == count.large
    assert count.false_frac < 0.001


# Two misses are known, both 1.5 stops too dark under a tinted lamp; the docs name them.
KNOWN_MISSES = {(-1.5, 1.25, 0.75), (-1.5, 0.8, 1.25)}


@pytest.mark.parametrize("light", [one for one in LIGHTS if one not in KNOWN_MISSES], ids=str)
def test_every_large_cable_area_is_found_under_another_lamp(
    light: tuple[float, float, float],
) -> None:
    lit = Scene("03 relit", relit(CUT_CABLE.pixels, *light), CUT_CABLE.cable)
    count = counted(lit)
    assert count.large >= 2
    assert count.large_found == count.large


def test_large_cable_areas_of_drawn_scenes_held_back_are_found() -> None:
    count, scenes = total(HELD_BACK.cables(6))
    print(line(f"{scenes} drawn scenes", count))
    assert count.large >= scenes
    assert count.large_found == count.large


def test_false_areas_on_photographs_are_printed_and_fewer_than_by_colour_alone() -> None:
    whole = Count()
    for scene in HELD_BACK.photographs():
        count = counted(scene)
        print(line(scene.name, count))
        whole += count
    assert whole.false_frac < 0.5 * whole.false_frac_by_colour_alone
