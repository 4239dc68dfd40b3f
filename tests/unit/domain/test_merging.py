"""Two people in one form: each keeps what they changed, and a clash is told."""

import pytest

from triage_app.domain.errors import StaleCaseError
from triage_app.domain.merging import merged
from triage_app.domain.vehicle import Answer, Incident, Vehicle


def test_changes_of_different_fields_are_both_kept() -> None:
    both = merged(Vehicle(), Vehicle(plate="AA 1"), Vehicle(odometer_km=9))
    assert both == Vehicle(plate="AA 1", odometer_km=9)


def test_a_field_that_was_only_looked_at_takes_nothing_away() -> None:
    stored = Vehicle(plate="BB 2")
    assert merged(Vehicle(), Vehicle(), stored) == stored


def test_the_same_field_changed_to_two_things_is_told_and_not_stored() -> None:
    with pytest.raises(StaleCaseError, match="plate to 'BB 2' first; you entered 'AA 1'"):
        merged(Vehicle(), Vehicle(plate="AA 1"), Vehicle(plate="BB 2"))


@pytest.mark.parametrize(
    ("mine", "stored", "stands"),
    [
        (Answer.YES, Answer.NO, Answer.YES),
        (Answer.NO, Answer.YES, Answer.YES),
        (Answer.NO, Answer.UNKNOWN, Answer.NO),
        (Answer.UNKNOWN, Answer.YES, Answer.YES),
    ],
)
def test_of_two_answers_to_a_sign_the_worse_stands(
    mine: Answer, stored: Answer, stands: Answer
) -> None:
    both = merged(Incident(), Incident(smoke=mine), Incident(smoke=stored))
    assert both.smoke is stands


def test_two_people_answer_two_signs_and_both_stand() -> None:
    both = merged(Incident(), Incident(odour=Answer.NO), Incident(smoke=Answer.YES))
    assert (both.smoke, both.odour) == (Answer.YES, Answer.NO)
