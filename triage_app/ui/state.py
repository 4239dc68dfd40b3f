"""What one browser tab remembers: ids and half-finished input. The only file on session state.

The store is the truth after every click. Case and photo also stand in the address, so that a
reload, a bookmark or a second tab opens the same place.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, TypeVar

import streamlit as st

from triage_app.domain.case import Tags
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import AccountId, CaseId, FindingId, MarkId, PhotoId, checked_id
from triage_app.services.intake import PhotoOutcome
from triage_app.ui.panels import Panel

UNDO_KEPT = 100
_T = TypeVar("_T")


class Tone(StrEnum):
    """How a notice is meant."""

    DONE = "done"
    PROBLEM = "problem"


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """A sentence to show once, at the next run of a page."""

    text: str
    tone: Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Tags that a person has entered for a finding and not yet saved, as the fields hold them.

    ``base`` are the stored tags they started from, ``base_revision`` the finding's revision.
    """

    base: Tags
    base_revision: int
    values: dict[str, object]


@dataclass(slots=True, kw_only=True)
class _Memory:
    """Everything remembered, in one object, so that nothing is spelled twice."""

    case_id: CaseId | None = None
    photo_id: PhotoId | None = None
    mark_id: MarkId | None = None
    finding_id: FindingId | None = None
    further_view_of: FindingId | None = None
    undo: list[AnyCommand] = field(default_factory=list)
    redo: list[AnyCommand] = field(default_factory=list)
    drafts: dict[FindingId, Draft] = field(default_factory=dict)
    draft_round: int = 0
    outcomes: list[PhotoOutcome] = field(default_factory=list)
    upload_round: int = 0
    new_case_id: CaseId | None = None
    new_case_is_open: bool = False
    notices: list[Notice] = field(default_factory=list)
    cases_shown: int = 0
    first_shown: dict[str, Any] = field(default_factory=dict)
    panel: tuple[Panel, FindingId | None] | None = None
    panel_round: int = 0


def _memory() -> _Memory:
    if "memory" not in st.session_state:
        st.session_state["memory"] = _Memory()
    memory: _Memory = st.session_state["memory"]
    return memory


def belong_to(account_id: AccountId) -> None:
    """Let this tab be this person's from now on; what another one left in it is let go."""
    if not belongs_to(account_id):
        st.session_state.clear()
    st.session_state["person"] = account_id


def belongs_to(account_id: AccountId) -> bool:
    """Tell whether what is entered in this tab is this person's, or nobody's yet."""
    return bool(st.session_state.get("person", account_id) == account_id)


def case_id() -> CaseId | None:
    """Return the case being worked on: from the address, else as remembered.

    Takes the photo over from there too, so that "back" and a reload find it again.
    """
    memory = _memory()
    asked = _from_address("case")
    if asked and asked != memory.case_id:
        memory = _forget_case(CaseId(asked))
    if photo := _from_address("photo"):
        memory.photo_id = PhotoId(photo)
    return memory.case_id


def choose_case(chosen: CaseId | None) -> None:
    """Work on this case from now on; selection and undo of the former one are let go."""
    if chosen != _memory().case_id:
        _forget_case(chosen)
    show_in_address()


def photo_id(known: Sequence[PhotoId]) -> PhotoId | None:
    """Return the photo being looked at; the first one when none, or an unknown one, is chosen."""
    memory = _memory()
    if memory.photo_id not in known:
        memory.photo_id = known[0] if known else None
    return memory.photo_id


def remembered_photo() -> PhotoId | None:
    """Return the photo that was last looked at; for callbacks, which run before the page."""
    return _memory().photo_id


def choose_photo(chosen: PhotoId) -> None:
    _memory().photo_id = chosen
    show_in_address()


def show_in_address() -> None:
    """Write case and photo into the address; page links of the navigation drop them."""
    wanted = address()
    for name in ("case", "photo"):
        value = wanted.get(name)
        if value is None:
            st.query_params.pop(name, None)
        elif st.query_params.get(name) != value:
            st.query_params[name] = value


def address() -> dict[str, str]:
    """Return what belongs into the address: the case and the photo, where there are any."""
    wanted = {"case": _memory().case_id, "photo": _memory().photo_id}
    return {name: value for name, value in wanted.items() if value is not None}


def selected_mark() -> MarkId | None:
    return _memory().mark_id


def selected_finding() -> FindingId | None:
    return _memory().finding_id


def select(mark_id: MarkId | None, finding_id: FindingId | None) -> None:
    """Remember which mark is selected, and which finding the tags are shown of."""
    memory = _memory()
    memory.mark_id, memory.finding_id = mark_id, finding_id


def further_view_of() -> FindingId | None:
    """Return the finding that new marks belong to, or None when each starts its own."""
    return _memory().further_view_of


def mark_further_views_of(finding_id: FindingId | None) -> None:
    _memory().further_view_of = finding_id


def undo_stack() -> list[AnyCommand]:
    return _memory().undo


def redo_stack() -> list[AnyCommand]:
    return _memory().redo


def remember_undo(command: AnyCommand | None) -> None:
    """Keep what takes the last gesture back; a new gesture ends the redo line."""
    memory = _memory()
    memory.redo.clear()
    if command is not None:
        memory.undo.append(command)
        del memory.undo[:-UNDO_KEPT]


def draft_of(finding_id: FindingId) -> Draft | None:
    return _memory().drafts.get(finding_id)


def keep_draft(finding_id: FindingId, draft: Draft) -> None:
    _memory().drafts[finding_id] = draft


def forget_draft(finding_id: FindingId) -> None:
    """Let a draft go that says no more than what is stored; the fields stay as they are."""
    _memory().drafts.pop(finding_id, None)


def drop_draft(finding_id: FindingId) -> None:
    """Let a draft go; the fields are drawn afresh from what is stored."""
    memory = _memory()
    memory.drafts.pop(finding_id, None)
    memory.draft_round += 1


def drafts() -> tuple[FindingId, ...]:
    """Return the findings, of any case, with input that is not saved yet."""
    return tuple(_memory().drafts)


def draft_round() -> int:
    """Return a number that changes whenever fields must be drawn afresh."""
    return _memory().draft_round


def seed(key: str, value: object, *, anew: bool = False) -> None:
    """Give a field its first value, or any with ``anew``; else what was entered since stays."""
    if anew or key not in st.session_state:
        st.session_state[key] = value


def field_value(key: str) -> object:
    """Return what a field holds now, also inside its own callback."""
    return st.session_state[key]


def typed(key: str) -> str:
    """Return what was typed into a field of text; empty also where the field is not shown."""
    return str(st.session_state.get(key) or "")


def component_value(key: str, name: str) -> object:
    """Return what a component of ours last sent under ``name``; None when it sent nothing."""
    return getattr(st.session_state.get(key), name, None)


def outcomes() -> list[PhotoOutcome]:
    return _memory().outcomes


def keep_outcomes(kept: list[PhotoOutcome]) -> None:
    """Remember the answers to the last upload and empty the upload field."""
    memory = _memory()
    memory.outcomes = kept
    memory.upload_round += 1


def upload_round() -> int:
    return _memory().upload_round


def new_case_id(make: str) -> CaseId:
    """Return the id of the next case: the same one until it was opened, so a repeat is harmless."""
    memory = _memory()
    memory.new_case_id = memory.new_case_id or CaseId(make)
    return memory.new_case_id


def new_case_opened() -> None:
    """Remember that it was opened; a double tap's second half must still mean the same case."""
    _memory().new_case_is_open = True


def begin_new_case() -> None:
    """Let the next case be another one, now that the form is shown afresh."""
    memory = _memory()
    if memory.new_case_is_open:
        memory.new_case_id, memory.new_case_is_open = None, False


def cases_shown(at_least: int) -> int:
    return max(_memory().cases_shown, at_least)


def show_more_cases(number: int) -> None:
    _memory().cases_shown = number


def notify(text: str, tone: Tone = Tone.DONE) -> None:
    """Keep a sentence for the next run; callbacks cannot draw."""
    _memory().notices.append(Notice(text=text, tone=tone))


def take_notices() -> list[Notice]:
    """Return the kept sentences, once."""
    memory = _memory()
    taken, memory.notices = memory.notices, []
    return taken


def open_panel() -> tuple[Panel, FindingId | None] | None:
    """Return the one panel that is open on the triage page; no finding means the whole car."""
    return _memory().panel


def turn_panel(panel: Panel, finding_id: FindingId | None) -> None:
    """Open a panel in the place of any other, or close it; its fields are drawn afresh."""
    memory = _memory()
    memory.panel = None if memory.panel == (panel, finding_id) else (panel, finding_id)
    draw_panel_afresh()


def panel_round() -> int:
    """Return a number that changes whenever the open panel's fields must be drawn afresh."""
    return _memory().panel_round


def draw_panel_afresh() -> None:
    _memory().panel_round += 1


def _forget_case(chosen: CaseId | None) -> _Memory:
    memory = _memory()
    fresh = _Memory(
        case_id=chosen,
        drafts=memory.drafts,
        notices=memory.notices,
        draft_round=memory.draft_round + 1,
        upload_round=memory.upload_round + 1,
        new_case_id=memory.new_case_id,
        new_case_is_open=memory.new_case_is_open,
        cases_shown=memory.cases_shown,
        panel_round=memory.panel_round + 1,
    )
    st.session_state["memory"] = fresh
    return fresh


def _from_address(name: str) -> str | None:
    value = st.query_params.get(name)
    try:
        return checked_id(value) if value else None
    except InvalidInputError:
        return None


def first_shown(form: str, stored: _T) -> _T:
    """Return what this form showed first, so that another person's change takes no entry away."""
    shown: _T = _memory().first_shown.setdefault(form, stored)
    return shown


def show_stored(form: str) -> None:
    """Let the form start again from what is stored."""
    _memory().first_shown.pop(form, None)
