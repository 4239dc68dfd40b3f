"""What a journal entry says of a change: only what differs, a list that is left out being empty."""

from triage_app.storage.changes import touched

ONE, OTHER = {"id": "1", "text": "a"}, {"id": "2", "text": "b"}


def test_of_a_list_only_the_items_that_differ_are_told() -> None:
    new = {**OTHER, "text": "c"}
    assert touched({"held": [ONE, OTHER]}, {"held": [ONE, new]}) == (
        {"held": [OTHER]},
        {"held": [new]},
    )


def test_a_list_that_was_empty_or_becomes_so_is_told_like_any_other() -> None:
    assert touched({}, {"held": [ONE]}) == ({"held": []}, {"held": [ONE]})
    assert touched({"held": [ONE]}, {}) == ({"held": [ONE]}, {"held": []})
    assert touched({"held": []}, {}) == ({}, {})


def test_the_revision_is_not_a_change_of_its_own() -> None:
    assert touched({"revision": 1}, {"revision": 2}) == ({}, {})
