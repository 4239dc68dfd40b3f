"""Accounts of the shop: who has one, in which roles, and what an administrator does with it."""

import streamlit as st

from triage_app.domain.accounts import Account
from triage_app.domain.permissions import ROLE_NAMES, Action, Role, may
from triage_app.ui import people_text as text
from triage_app.ui import state
from triage_app.ui.markdown import as_typed
from triage_app.ui.widgets.notices import (
    next_step,
    refusals_kept,
    saying_refusals,
    show_notices,
    store_form,
)
from triage_app.ui.wiring import operator, services


def show() -> None:
    st.title(text.PAGE_PEOPLE, anchor=False)
    show_notices()
    by = operator()
    if not may(by.roles, Action.MANAGE_PEOPLE):
        next_step(text.PEOPLE_NOT_YOURS)
        return
    next_step(text.PEOPLE_NEXT)
    people = services().people.all(by=by)
    with st.expander(text.ADD_PERSON, expanded=len(people) == 1):
        _add_form()
    for account in sorted(people, key=lambda each: each.disabled is not None):
        _person(account)
    st.caption(text.NEVER_DELETED)
    with st.expander(text.LOG):
        for entry in services().people.log(by=by):
            st.text(text.log_line(entry))


def _add_form() -> None:
    form = f"add-person-{state.panel_round()}"
    with st.form(form, border=False, enter_to_submit=False):
        left, right = st.columns(2)
        with left:
            name = st.text_input(text.FULL_NAME)
            roles = st.multiselect(text.ROLES, list(Role), format_func=ROLE_NAMES.__getitem__)
        with right:
            short = st.text_input(text.OWN_SIGN_IN_NAME, placeholder=text.OWN_SIGN_IN_NAME_HINT)
            outside = st.text_input(text.OUTSIDE_ID, placeholder=text.OUTSIDE_ID_HINT)
        wanted = st.form_submit_button(text.ADD, type="primary")
    if wanted:
        _add(name, roles, short, outside)


def _add(name: str, roles: list[Role], short: str, outside: str) -> None:
    with saying_refusals():
        given = services().people.add(
            name, roles, by=operator(), sign_in_name=short, outside_id=outside
        )
        account, password = given.account, given.password
        state.notify(
            text.first_password(account, password) if password else text.added(account.name)
        )
        state.draw_panel_afresh()
        st.rerun()


def _person(account: Account) -> None:
    sessions = len(services().people.sessions(account.id, by=operator()))
    with st.container(key=f"ub-person-{account.id}", border=True):
        line = as_typed(text.person_line(account, sessions))
        st.markdown(f"**{as_typed(account.name)}**  \n{line}")
        with st.expander(text.CHANGE):
            _roles_form(account)
            with st.container(horizontal=True):
                _ways(account)


def _roles_form(account: Account) -> None:
    with st.form(f"roles-{account.id}", border=False, enter_to_submit=False):
        held = [role for role in Role if role in account.roles]
        roles = st.multiselect(
            text.ROLES, list(Role), default=held, format_func=ROLE_NAMES.__getitem__
        )
        wanted = st.form_submit_button(text.SAVE_ROLES)
    if wanted:
        store_form(
            f"roles-{account.id}",
            lambda: services().people.set_roles(account.id, roles, by=operator()),
            done=text.ROLES_SAVED,
        )


def _ways(account: Account) -> None:
    ways = [(text.RESET_PASSWORD, _reset), (text.END_SESSIONS, _end_sessions)]
    ways.append((text.ENABLE, _enable) if account.disabled else (text.DISABLE, _disable))
    for label, act in ways:
        st.button(label, key=f"{label}-{account.id}", on_click=act, args=(account,))


def _reset(account: Account) -> None:
    with refusals_kept():
        given = services().people.reset_password(account.id, by=operator())
        state.notify(text.first_password(given.account, given.password))


def _disable(account: Account) -> None:
    with refusals_kept():
        services().people.disable(account.id, by=operator())
        state.notify(text.disabled(account.name))


def _enable(account: Account) -> None:
    with refusals_kept():
        services().people.enable(account.id, by=operator())
        state.notify(text.enabled(account.name))


def _end_sessions(account: Account) -> None:
    with refusals_kept():
        number = services().people.end_sessions(account.id, by=operator())
        state.notify(text.ended(account.name, number))
