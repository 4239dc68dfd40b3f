// The canvas as a whole: takes the store's marks from the page, shows them, and hands gestures over.

class PhotoCanvas extends Editor {
  constructor(root, data) {
    super({ width: data.photo.width, height: data.photo.height });
    this.root = root;
    this.scope = data.scope;
    this.stage = root.querySelector(".stage");
    this.keeper = new Keeper(data.scope);
    this.outbox = new Outbox(this.keeper, (value) => this.post(value));
    this.ink = new Ink(root.querySelector(".ink"));
    this.photo = new PhotoLayer(
      this.stage, (text, again) => this.trouble(text, { again }), () => this.paint());
    this.tool = this.keeper.read("tool", "select");
    this.edges = new Edges(this);
    this.loupe = new Loupe(this);
    this.reach = new Reach(this);
    this.watch = new Watch(this);
    const draft = this.keeper.read("draft", null);
    this.draft = draft?.tool === this.tool ? draft : null;
    this.bar = new Bar(this);
    this.hands = new Hands(this);
    this.keys = new Keys(this);
    this.listen();
  }

  listen() {
    new ResizeObserver(() => this.paint()).observe(this.stage);
    window.addEventListener("online", () => this.outbox.send());
    window.addEventListener("pagehide", () => {
      this.finishEdit();
      if (this.draft) this.keepDraft();
    });
  }

  // A canvas that has left the page sends nothing; what it kept is sent by the next one.
  post(value) {
    if (this.root.isConnected) this.setStateValue("sent", value);
    else this.outbox.stop();
  }

  // Runs after each rerun of the page: takes the store's marks, keeps what a person is doing.
  update(data, setStateValue) {
    this.data = data;
    this.setStateValue = setStateValue;
    this.ink.setStyles(data.styles);
    this.stored = data.marks.map((mark) => ({
      ...mark, outline: fromStore(mark.outline, this.size),
    }));
    this.areas = (data.areas ?? []).map((area) => ({
      ...area, outline: fromStore(area.outline, this.size),
    }));
    this.stage.setAttribute("aria-label", data.photo.title);
    this.photo.show(data.photo);
    const answered = this.outbox.settle(data.session, data.ack);
    this.marks = this.outbox.overlay(this.stored, (outline) => fromStore(outline, this.size));
    if (!this.outbox.queue.length) this.adopt(data.selected);
    this.report(answered);
    if (this.edit && !this.marks.some((mark) => mark.id === this.edit.id)) {
      this.edit = null;
      this.hands.forget();
      this.trouble(WORDS.gone);
    }
    this.refresh();
  }

  adopt(selected) {
    if (selected === this.selectedId || this.edit) return;
    this.selectedId = selected;
    this.activeHandle = -1;
    const mark = this.chosen;
    if (mark && !this.view.isFitted) this.view.reveal(middleOf(mark.outline), 60);
  }

  report(answered) {
    const isHeld = Boolean(this.data.held && this.outbox.queue.length);
    if (isHeld) this.trouble(this.data.held);
    else if (this.isHeld) this.showTrouble(false);
    this.isHeld = isHeld;
    const refusals = new Map(this.data.answers.map(({ seq, sentence }) => [seq, sentence]));
    for (const gesture of answered) {
      const mark = this.stored.find((one) => one.id === gesture.mark_id);
      if (refusals.has(gesture.seq)) this.trouble(refusals.get(gesture.seq));
      else if (gesture.kind === "draw" && mark) this.say(WORDS.nowStored(this.nameOf(mark)));
    }
  }

  hand(kind, body = {}) {
    this.outbox.add(kind, body);
    this.marks = this.outbox.overlay(this.stored, (outline) => fromStore(outline, this.size));
    this.refresh();
  }

  nameOf(mark) {
    return WORDS.markName(mark, this.ink.styleOf(mark));
  }

  // Whether the keyboard is in use: then a cross shows where a drawing tool sets its next point.
  showKeys(isByKeys) {
    const isDrawing = this.tool !== "select";
    if (!isByKeys) this.cursor = null;
    else if (isDrawing) this.cursor ??= this.onStage(this.view.stageMiddle);
    if (isByKeys === this.isByKeys) return;
    this.isByKeys = isByKeys;
    this.refresh();
  }

  onStage(screen) {
    return clampPoint(this.view.toPhoto(screen), this.size);
  }

  // Larger, smaller, or (0) the whole photo; about what a person is looking at, if that is known.
  zoom(direction) {
    const { view } = this;
    if (direction === 0) view.fit();
    else view.step(direction, this.lookedAt);
    this.say(WORDS.zoom(Math.round(this.view.scale * 100)));
    this.paint();
  }

  get lookedAt() {
    const grip = this.handles[this.activeHandle];
    const outline = this.shownOutline;
    const place = this.cursor ?? (grip && [grip.x, grip.y]) ?? (outline && middleOf(outline));
    return place ? this.view.toScreen(place) : this.view.stageMiddle;
  }

  say(text) {
    this.root.querySelector(".spoken").textContent = text;
  }

  // A message stays until it is closed; a passing one only until the next step.
  trouble(text, { again = null, isPassing = false } = {}) {
    const box = this.root.querySelector(".trouble");
    box.querySelector("span").textContent = text;
    box.querySelector("[data-do=retry]").hidden = !again;
    this.again = again;
    this.isPassing = isPassing;
    this.showTrouble(true);
  }

  showTrouble(isShown) {
    this.root.querySelector(".trouble").hidden = !isShown;
    this.root.querySelector(".hint").hidden = isShown;
  }

  goOn() {
    if (this.isPassing) this.showTrouble(false);
  }

  refresh() {
    this.bar.refresh();
    this.paint();
  }

  paint() {
    if (this.isPainting) return;
    this.isPainting = true;
    requestAnimationFrame(() => {
      this.isPainting = false;
      if (this.root.isConnected && this.data) this.paintNow();
    });
  }

  paintNow() {
    this.view.resize(this.stage.clientWidth, this.stage.clientHeight);
    this.photo.place(this.view);
    this.root.querySelector(".loading").hidden = this.photo.isShown;
    this.root.querySelector(".zoom").textContent = `${Math.round(this.view.scale * 100)} %`;
    this.ink.draw({
      marks: this.shownMarks,
      areas: this.areas,
      selectedId: this.selectedId,
      draft: this.draft,
      handles: this.handles,
      activeHandle: this.activeHandle,
      cursor: this.cursor,
      view: this.view,
    });
  }
}

function middleOf(outline) {
  const box = boundsOf(outline);
  return [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
}

const canvases = new WeakMap();

// Markup and style come with the code, so that a rerun sends neither of them again.
function freshRoot(parentElement) {
  const style = document.createElement("style");
  style.textContent = STYLE;
  parentElement.replaceChildren(style);
  style.insertAdjacentHTML("afterend", MARKUP);
  return parentElement.querySelector(".canvas");
}

// Streamlit calls this on every change of data, with the same parent. It returns nothing: a
// returned clean-up could be called for an overtaken render while the canvas is still shown.
function showCanvas({ parentElement, data, setStateValue }) {
  let canvas = canvases.get(parentElement);
  if (canvas?.scope !== data.scope || !parentElement.contains(canvas.root)) {
    canvas?.outbox.stop();
    canvas = new PhotoCanvas(freshRoot(parentElement), data);
    canvases.set(parentElement, canvas);
  }
  canvas.update(data, setStateValue);
}

globalThis.underbodyPhotoCanvas = showCanvas;
dispatchEvent(new Event("underbodyPhotoCanvas"));

// Mounted once without data; mount.js mounts the canvas itself.
export default function nothing() {}

export { cleanRing, firstCrossing, fromStore, toStore, View };
