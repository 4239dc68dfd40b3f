// Covers the screen when nobody has touched it for a while, and locks the session on the server.
// The page beneath stays as it was, so that what was typed is there when its person comes back.
export default function (component) {
  const held = (window.underbodyCover ||= makeCover());
  held.update(component.data, () => component.setTriggerValue("unlocked", true));
}

function makeCover() {
  const ACTIVE = "underbody-active", LOCKED = "underbody-locked";
  let data = null, tell = null, last = Date.now(), told = 0, cover = null;
  const acts = ["pointerdown", "keydown", "wheel", "touchmove"];
  for (const act of acts) addEventListener(act, used, { capture: true, passive: true });
  addEventListener("storage", fromAnotherTab);
  document.addEventListener("visibilitychange", look);
  setInterval(look, 1000);

  function update(given, whenUnlocked) {
    data = given;
    tell = whenUnlocked;
    if (data.locked) show(); else if (!cover) localStorage.removeItem(LOCKED);
  }

  function used() {
    if (cover || !data) return;
    last = Date.now();
    localStorage.setItem(ACTIVE, String(last));
    if (last - told < Math.min(30000, data.idle_ms / 4)) return;
    told = last;
    post("/session/used").then((answer) => {
      if (answer.status === 401) leave();
      else if (answer.status === 403) show();
    }, () => {});
  }

  function look() {
    if (!data || cover) return;
    const lastAnywhere = Math.max(last, Number(localStorage.getItem(ACTIVE)) || 0);
    if (Date.now() - lastAnywhere < data.idle_ms) return;
    localStorage.setItem(LOCKED, String(Date.now()));
    show();
    // No answer is no harm: the server counts the time by itself.
    post("/session/lock").catch(() => {});
  }

  function fromAnotherTab(event) {
    if (event.key !== LOCKED) return;
    if (event.newValue) show(); else hide();
  }

  function post(path, fields) {
    const body = new URLSearchParams({ form_token: data.form_token, ...fields });
    return fetch(path, { method: "POST", body, credentials: "same-origin", redirect: "error" });
  }

  function show() {
    if (cover) return;
    cover = document.createElement("div");
    cover.id = "ub-cover";
    cover.setAttribute("role", "dialog");
    cover.setAttribute("aria-modal", "true");
    cover.setAttribute("aria-labelledby", "ub-cover-title");
    const style = document.createElement("style");
    style.textContent = data.style;
    const form = made("form", ""), field = made("input", ""), problem = made("p", "");
    field.type = "password";
    field.id = "ub-cover-password";
    field.autocomplete = "current-password";
    field.required = true;
    problem.className = "problem";
    problem.setAttribute("role", "alert");
    const title = made("h1", data.words.title), label = made("label", data.words.password);
    title.id = "ub-cover-title";
    label.htmlFor = field.id;
    const other = made("a", data.words.other);
    const here = location.pathname + location.search;
    other.href = `/sign-in?switch=1&next=${encodeURIComponent(here)}`;
    form.append(title, made("p", data.words.lead), problem, label, field,
      made("button", data.words.unlock), other);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      unlock(field, problem);
    });
    cover.append(style, form);
    document.body.append(cover);
    document.getElementById("root").inert = true;
    field.focus();
  }

  function unlock(field, problem) {
    const password = field.value;
    field.value = "";
    post("/session/unlock", { password }).then(async (answer) => {
      if (answer.status === 204) {
        last = Date.now();
        localStorage.setItem(ACTIVE, String(last));
        localStorage.removeItem(LOCKED);
        hide();
      } else if (answer.status === 401) leave();
      else problem.textContent = await answer.text();
    }, () => { problem.textContent = data.words.unreachable; });
  }

  function hide() {
    if (!cover) return;
    cover.remove();
    cover = null;
    last = Date.now();
    document.getElementById("root").inert = false;
    // Where the server drew nothing but the lock, the page is asked for again.
    if (data.locked) tell();
  }

  function leave() {
    const here = location.pathname + location.search;
    location.assign(`/sign-in?next=${encodeURIComponent(here)}`);
  }

  function made(kind, said) {
    const node = document.createElement(kind);
    node.textContent = said;
    return node;
  }

  return { update };
}
