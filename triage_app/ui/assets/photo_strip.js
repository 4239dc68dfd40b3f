// The strip of small photos. Text only by textContent; pictures by our own checked addresses.
export default function (component) {
  const { data, parentElement, setTriggerValue } = component;
  let strip = parentElement.querySelector(".strip");
  if (!strip) {
    strip = document.createElement("div");
    strip.className = "strip";
    strip.setAttribute("role", "group");
    strip.setAttribute("aria-label", "Photos of this case");
    parentElement.append(strip);
  }
  const photos = data.photos || [];
  const existing = new Map([...strip.children].map((node) => [node.dataset.id, node]));
  photos.forEach((photo, at) => {
    const button = existing.get(photo.id) || makeButton(photo.id);
    existing.delete(photo.id);
    const picture = button.querySelector("img");
    if (picture.getAttribute("src") !== photo.url) picture.src = photo.url;
    button.querySelector("span").textContent = photo.label;
    button.setAttribute("aria-label", photo.title);
    const isCurrent = photo.id === data.current;
    const wasCurrent = button.getAttribute("aria-current") === "true";
    button.setAttribute("aria-current", String(isCurrent));
    button.onclick = () => setTriggerValue("chosen", photo.id);
    if (strip.children[at] !== button) strip.insertBefore(button, strip.children[at] || null);
    if (isCurrent && !wasCurrent) showInStrip(button);
  });
  existing.forEach((node) => node.remove());

  function makeButton(id) {
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.id = id;
    const picture = document.createElement("img");
    picture.alt = "";
    picture.loading = "lazy";
    button.append(picture, document.createElement("span"));
    return button;
  }

  // Scrolls the strip only, never the page.
  function showInStrip(button) {
    requestAnimationFrame(() => {
      const middle = button.offsetLeft - (strip.clientWidth - button.offsetWidth) / 2;
      strip.scrollTo({ left: Math.max(0, middle) });
    });
  }
}
