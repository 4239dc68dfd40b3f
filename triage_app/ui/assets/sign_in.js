// The code travels in the address after '#', which browsers keep to themselves.
const given = new URLSearchParams(location.hash.slice(1)).get("code");
if (given) history.replaceState(null, "", location.pathname + location.search);
const isDemo = document.body.dataset.demo === "yes";
if (given && isDemo) sessionStorage.setItem("underbody-demo-code", given);
const code = given || (isDemo && sessionStorage.getItem("underbody-demo-code"));
const field = document.getElementById("code") || (isDemo && document.getElementById("password"));
if (code && field && !field.value) field.value = code;

// A tap on a person fills the name in and leaves the password to be typed.
for (const tile of document.querySelectorAll("a.person")) {
  tile.addEventListener("click", (event) => {
    event.preventDefault();
    for (const other of document.querySelectorAll("a.person")) other.removeAttribute("aria-current");
    tile.setAttribute("aria-current", "true");
    document.getElementById("name").value = tile.dataset.name;
    const password = document.getElementById("password");
    if (!isDemo) password.value = "";
    password.focus();
  });
}

for (const eye of document.querySelectorAll("button.eye")) {
  eye.addEventListener("click", () => {
    const shown = document.getElementById(eye.dataset.shows);
    shown.type = shown.type === "password" ? "text" : "password";
    eye.setAttribute("aria-pressed", String(shown.type === "text"));
    shown.focus();
  });
}
