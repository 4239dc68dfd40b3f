"""Every sentence of the underside map."""

from collections.abc import Sequence

from triage_app.ui.markdown import as_typed

MAP = "Underside map and line of impact"
MAP_HINT = (
    "Drawn as if you looked down through the car: front up, driver's left on the left. No real "
    "car is drawn. Tap a tag to go to its finding."
)
WHY = "Why, where the line is drawn anew or taken off and a finding at high voltage gets milder"
UNREADABLE = "The line of travel could not be read; draw it again."
FOR_THE_MAP = {
    "draw": "Draw the line of travel",
    "off": "Take the line off",
    "from": "Where did the object first touch? Drag from there, or tap. Keys: arrows, then Space.",
    "to": "And where did it leave? Let go there, or tap.",
    "none": "No line of travel yet: the way that the object took under the car.",
    "drawn": "The line of travel counts in the rules. It only ever adds; it clears nothing.",
}


def without_place(numbers: Sequence[int]) -> str:
    listed = ", ".join(str(number) for number in numbers)
    return f"Not on the map, because no zone is said yet: {listed}."


def on_the_line(numbers: Sequence[int], by: str) -> str:
    listed = ", ".join(str(number) for number in numbers) or "none so far"
    return f"Findings on the line of travel: {listed}. Drawn by {as_typed(by)}."
