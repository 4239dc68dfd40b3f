// Measures a screen of ours; returns lists of what falls short, so that a test can show them.
(what) => {
  const main = document.querySelector("[data-testid=stMain]");
  const isShown = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const name = (e) => `${e.tagName} ${(e.innerText || e.ariaLabel || "").slice(0, 40)}`;

  function smallTargets() {
    const touched =
      "button, summary, input:not([type=file]):not([type=radio]):not([type=checkbox]), " +
      "a.ub-button, [data-testid=stCheckbox] label, [data-testid=stRadioOption], " +
      "[data-testid=stPageLink-NavLink]";
    // The small cross and steppers inside a field: the field itself is the target.
    const inField = "[data-testid=stSelectbox], [data-testid=stNumberInput]";
    return [...document.querySelectorAll(touched)]
      .filter((e) => e.closest("[data-testid=stMain], [data-testid=stHeader]") && isShown(e))
      .filter((e) => e.tagName === "INPUT" || !e.closest(inField))
      .map((e) => [e, e.getBoundingClientRect()])
      .filter(([, box]) => Math.round(box.height) < 44 || Math.round(box.width) < 44)
      .map(([e, box]) => `${name(e)} ${Math.round(box.width)}x${Math.round(box.height)}`);
  }

  function smallType() {
    const left = "style, [aria-hidden=true], .ub-hidden, [data-testid=stIconMaterial]";
    const found = new Set();
    const walk = document.createTreeWalker(main, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const said = walk.currentNode.textContent.trim();
      const e = walk.currentNode.parentElement;
      if (!said || !isShown(e) || e.closest(left)) continue;
      const size = parseFloat(getComputedStyle(e).fontSize);
      if (size < 16) found.add(`${size} ${said.slice(0, 40)}`);
    }
    return [...found];
  }

  function cutOff() {
    const over = main.scrollWidth - main.clientWidth;
    return over > 0 ? [`${over} px to the right`] : [];
  }

  return { smallTargets, smallType, cutOff }[what]();
};
