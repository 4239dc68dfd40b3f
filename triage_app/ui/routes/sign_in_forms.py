"""The HTML of signing in: the form, the people of this tablet, the choice of an own password."""

from collections.abc import Sequence
from html import escape
from urllib.parse import urlencode

from triage_app.domain.accounts import Account, roles_in_words
from triage_app.ui import people_text as text
from triage_app.ui.routes.plain_pages import hidden, problem_line, token_field, typed


def sign_in_body(
    *,
    back: str,
    people: Sequence[Account] = (),
    name: str = "",
    problem: str = "",
    locked_for: str = "",
    is_demo: bool = False,
    has_provider: bool = False,
) -> str:
    """Return the form, below the people who are known on this browser."""
    lead = f"{text.LOCKED} {text.locked_for(locked_for)}" if locked_for else ""
    focus_name, focus_password = ("", " autofocus") if name else (" autofocus", "")
    hint = text.DEMO_PASSWORD_HINT if is_demo else ""
    return f"""
    {problem_line(problem)}
    {f'<p class="lead">{typed(lead)}</p>' if lead else ""}
    {_people(people, back, chosen=name)}
    <form method="post" action="/sign-in">
      {token_field()}{hidden("next", back)}
      <label for="name">{escape(text.SIGN_IN_NAME)}</label>
      <input id="name" name="name" value="{typed(name)}" required maxlength="80"
             autocomplete="username" autocapitalize="none" spellcheck="false"{focus_name}>
      {password_field("password", text.PASSWORD, "current-password", hint, focus_password)}
      <button type="submit">{escape(text.SIGN_IN)}</button>
    </form>
    {_provider(back) if has_provider else ""}"""


def own_password_body(*, name: str, password: str, back: str, problem: str, least: int) -> str:
    """Return the form in which a person replaces the password that they were given."""
    hint = text.password_hint(least)
    return f"""
    <h2>{escape(text.CHOOSE_OWN)}</h2>
    {problem_line(problem)}
    <form method="post" action="/sign-in">
      {token_field()}{hidden("next", back)}
      {hidden("name", name)}{hidden("password", password)}
      {password_field("own", text.NEW_PASSWORD, "new-password", hint, " autofocus")}
      <button type="submit">{escape(text.CHOOSE_AND_GO_ON)}</button>
    </form>"""


def signed_in_body(name: str, *, back: str) -> str:
    """Return the ways on for somebody who is signed in already."""
    switch = urlencode({"switch": "1", "next": back})
    return f"""
    <p class="lead">{typed(text.signed_in_as(name))}</p>
    <p><a class="button" href="{typed(back)}">{escape(text.GO_ON)}</a></p>
    <p><a class="button quiet" href="/sign-in?{escape(switch)}">{escape(text.SWITCH)}</a></p>
    {sign_out_form()}"""


def sign_out_form() -> str:
    return f"""
    <form method="post" action="/sign-out">
      {token_field()}
      <button type="submit" class="quiet">{escape(text.SIGN_OUT)}</button>
    </form>"""


def password_field(name: str, label: str, autocomplete: str, hint: str = "", more: str = "") -> str:
    """Return a field for a password, with a way to see what was typed."""
    shown_hint = f'<p class="hint" id="{name}-hint">{escape(hint)}</p>' if hint else ""
    described = f' aria-describedby="{name}-hint"' if hint else ""
    return f"""
      <label for="{name}">{escape(label)}</label>
      {shown_hint}
      <div class="with-eye">
        <input id="{name}" name="{name}" type="password" required maxlength="256"
               autocomplete="{autocomplete}"{described}{more}>
        <button type="button" class="eye" data-shows="{name}" aria-pressed="false"
          >{escape(text.SHOW)}</button>
      </div>"""


def _provider(back: str) -> str:
    where = f"/sign-in/outside?{urlencode({'next': back})}"
    return f'<p><a class="button quiet" href="{escape(where)}">{escape(text.BY_PROVIDER)}</a></p>'


def _people(people: Sequence[Account], back: str, *, chosen: str) -> str:
    if not people:
        return ""
    tiles = "".join(_tile(person, back, chosen=chosen) for person in people)
    return f'<nav class="people" aria-label="{escape(text.WHO_IS_HERE)}">{tiles}</nav>'


def _tile(person: Account, back: str, *, chosen: str) -> str:
    # A plain link, so that it works without a script; the script only spares the round trip.
    where = urlencode({"switch": "1", "who": person.sign_in_name, "next": back})
    here = ' aria-current="true"' if chosen == person.sign_in_name else ""
    name = typed(person.sign_in_name)
    return (
        f'<a class="person" href="/sign-in?{escape(where)}" data-name="{name}"{here}>'
        f"<b>{typed(person.name)}</b>"
        f"<span>{escape(roles_in_words(person.roles))}</span></a>"
    )
