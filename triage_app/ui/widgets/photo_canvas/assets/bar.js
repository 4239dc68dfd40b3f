// Buttons above the photo, the list of marks below it, and the word on what is stored.

class Bar {
  constructor(canvas) {
    this.canvas = canvas;
    this.root = canvas.root;
    this.hint = this.root.querySelector(".hint");
    this.strip = this.root.querySelector(".strip");
    this.kept = this.root.querySelector(".kept");
    this.root.addEventListener("click", (event) => this.click(event));
    this.strip.addEventListener("keydown", (event) => this.stripKey(event));
    canvas.outbox.onSend = () => this.refreshKept();
  }

  click(event) {
    const button = event.target.closest("button");
    if (!button || button.getAttribute("aria-disabled") === "true") return;
    const { tool, mark } = button.dataset;
    if (tool) this.canvas.setTool(tool);
    else if (mark) this.chooseFromList(mark);
    else this.act(button.dataset.do);
  }

  act(name) {
    const { canvas } = this;
    const acts = {
      undo: () => canvas.undo(),
      redo: () => canvas.redo(),
      "zoom-in": () => canvas.zoom(1),
      "zoom-out": () => canvas.zoom(-1),
      fit: () => canvas.zoom(0),
      finish: () => canvas.finishDraft(),
      "step-back": () => canvas.stepBack(),
      cancel: () => canvas.cancel(),
      "next-grip": () => canvas.nextGrip(1),
      "add-corner": () => canvas.addCorner(),
      "remove-corner": () => canvas.removeCorner(),
      delete: () => canvas.removeChosen(),
      "join": () => canvas.beginCombine("join"),
      "cut": () => canvas.beginCombine("cut"),
      snap: () => canvas.edges.turn(!canvas.edges.isOn),
      hand: () => canvas.reach.turn(),
      retry: () => this.retry(),
      dismiss: () => this.closeTrouble(),
    };
    acts[name]?.();
  }

  retry() {
    this.closeTrouble();
    this.canvas.again?.();
  }

  closeTrouble() {
    this.canvas.showTrouble(false);
    this.canvas.stage.focus({ preventScroll: true });
  }

  chooseFromList(id) {
    this.canvas.choose(id);
    const mark = this.canvas.chosen;
    if (mark) this.canvas.view.reveal(middleOf(mark.outline), 60);
  }

  may(kind) {
    const { data, outbox, draft } = this.canvas;
    const waits = outbox.queue.some((one) => ["draw", "reshape", "delete", "combine"].includes(one.kind));
    const waitsForUndo = outbox.queue.some((one) => one.kind === "undo");
    if (kind === "undo") return Boolean(draft) || data.can_undo || waits;
    return !draft && (data.can_redo || waitsForUndo);
  }

  refresh() {
    const { canvas } = this;
    for (const button of this.root.querySelectorAll("button[data-tool]")) {
      button.setAttribute("aria-pressed", String(button.dataset.tool === canvas.tool));
    }
    for (const kind of ["undo", "redo"]) {
      this.button(kind).setAttribute("aria-disabled", String(!this.may(kind)));
    }
    this.button("snap").setAttribute("aria-pressed", String(canvas.edges.isOn));
    this.button("snap").setAttribute("aria-busy", String(canvas.edges.isLoading));
    this.button("hand").setAttribute("aria-pressed", String(canvas.reach.isLeft));
    canvas.stage.dataset.tool = canvas.tool;
    this.hint.textContent = this.hintText();
    this.refreshOffers();
    this.refreshStrip();
    this.refreshKept();
  }

  button(name) {
    return this.root.querySelector(`[data-do="${name}"]`);
  }

  hintText() {
    const { canvas } = this;
    const { tool, draft, chosen, data, isByKeys } = canvas;
    const joins = data.joins && tool !== "select" ? `${WORDS.joins(data.joins.number)} ` : "";
    const keys = isByKeys ? WORDS.hints.keys : "";
    if (canvas.combine) return WORDS.hints[canvas.combine.how](chosen?.number ?? WORDS.newTag) + keys;
    if (draft?.tool === "freehand") return WORDS.hints.goOn + keys;
    if (draft && draft.tool !== "polygon") return WORDS.hints.secondCorner + keys;
    if (tool === "select" && chosen) return WORDS.hints.chosen + keys;
    return joins + WORDS.hints[tool] + keys;
  }

  refreshOffers() {
    const { canvas } = this;
    const { draft, chosen } = canvas;
    const mayShape = !draft && chosen && canvas.tool === "select";
    const hasCorners = mayShape && chosen.outline.shape !== "ellipse";
    const grip = canvas.handles[canvas.activeHandle];
    const offers = {
      finish: draft?.points,
      "step-back": draft?.tool === "polygon",
      cancel: draft || canvas.combine,
      join: mayShape,
      cut: mayShape,
      "next-grip": mayShape,
      "add-corner": hasCorners,
      "remove-corner": hasCorners,
      delete: !draft && chosen,
    };
    for (const [name, isOffered] of Object.entries(offers)) this.button(name).hidden = !isOffered;
    const mayRemove = grip && ["vertex", "corner"].includes(grip.kind);
    this.button("remove-corner").setAttribute("aria-disabled", String(!mayRemove));
    const mayFinish = draft?.points?.length >= 3;
    this.button("finish").setAttribute("aria-disabled", String(!mayFinish));
  }

  // Options are kept while their mark looks the same, so that focus stays where it is.
  refreshStrip() {
    const { canvas } = this;
    const old = new Map([...this.strip.children].map((node) => [node.dataset.mark, node]));
    const options = canvas.marks.map((mark) => {
      const look = `${mark.number} ${mark.label} ${mark.risk} ${mark.hv}`;
      const known = old.get(mark.id);
      if (known?.dataset.look === look) return known;
      const fresh = this.option(mark, look);
      if (known && known === canvas.root.getRootNode().activeElement) this.refocus = mark.id;
      return fresh;
    });
    const isSame = options.length === this.strip.children.length
      && options.every((node, i) => node === this.strip.children[i]);
    if (!isSame) this.strip.replaceChildren(...options);
    const stop = options.find((node) => node.dataset.mark === canvas.selectedId) ?? options[0];
    for (const node of options) {
      node.setAttribute("aria-selected", String(node.dataset.mark === canvas.selectedId));
      node.tabIndex = node === stop ? 0 : -1;
    }
    if (this.refocus) options.find((node) => node.dataset.mark === this.refocus)?.focus();
    this.refocus = null;
    const choice = stop && canvas.selectedId ? `${canvas.selectedId} ${stop.dataset.look}` : "";
    if (choice && choice !== this.shownChoice) {
      this.strip.scrollLeft = stop.offsetLeft - this.strip.offsetLeft - 40;
    }
    this.shownChoice = choice;
  }

  option(mark, look) {
    const style = this.canvas.ink.styleOf(mark);
    const node = document.createElement("button");
    node.type = "button";
    node.className = "option";
    node.setAttribute("role", "option");
    node.setAttribute("aria-label", this.canvas.nameOf(mark));
    node.dataset.mark = mark.id;
    node.dataset.look = look;
    const risk = piece("risk", `${mark.number ?? WORDS.newTag} ${style.word}`.trim());
    risk.style.background = style.colour;
    risk.style.color = style.ink;
    node.append(risk);
    if (mark.hv) node.append(piece("sign", WORDS.hv));
    if (mark.label) node.append(piece("name", mark.label));
    return node;
  }

  stripKey(event) {
    const options = [...this.strip.children];
    const here = options.indexOf(event.target);
    const ends = { Home: 0, End: options.length - 1 };
    const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
    if (event.key in steps || event.key in ends) {
      const next = ends[event.key] ?? here + steps[event.key];
      const node = options[Math.min(options.length - 1, Math.max(0, next))];
      node.tabIndex = 0;
      node.focus();
    } else if (event.key === "Delete" || event.key === "Backspace") {
      this.chooseFromList(event.target.dataset.mark);
      this.canvas.removeChosen();
      this.strip.firstElementChild?.focus();
    } else {
      return;
    }
    event.preventDefault();
  }

  refreshKept() {
    const { queue, isLate } = this.canvas.outbox;
    const count = queue.filter((gesture) => gesture.kind !== "select").length;
    let text = this.canvas.marks.length ? WORDS.stored : "";
    if (count) text = isLate ? WORDS.waiting(count) : WORDS.storing;
    this.kept.textContent = text;
    this.kept.toggleAttribute("data-late", Boolean(count && isLate));
  }
}

function piece(name, text) {
  const node = document.createElement("span");
  node.className = name;
  node.textContent = text;
  return node;
}
