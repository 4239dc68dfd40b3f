// The underside map: our own drawing with a button over each tag, and the line of impact, which a
// person draws by a drag, by two taps, or by arrows and Space. Places are fractions of the plan.
const KEY_STEP = 0.02;
const NS = "http://www.w3.org/2000/svg";
const maps = new WeakMap();

export default function (component) {
  const { parentElement } = component;
  let map = maps.get(parentElement);
  if (!map || !parentElement.contains(map.root)) {
    map = new PlanMap(parentElement);
    maps.set(parentElement, map);
  }
  map.update(component);
}

function make(name, parent, attributes = {}) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  parent.append(node);
  return node;
}

class PlanMap {
  constructor(parent) {
    this.root = make("div", parent, { class: "map" });
    const acts = make("div", this.root, { class: "acts" });
    this.draw = make("button", acts, { type: "button", "aria-pressed": "false" });
    this.off = make("button", acts, { type: "button" });
    this.hint = make("p", this.root, { role: "status" });
    this.plan = make("div", this.root, { class: "plan" });
    this.start = null;
    this.cursor = null;
    this.isDrawing = false;
    this.draw.onclick = () => this.turn(!this.isDrawing);
    this.off.onclick = () => this.tell("line", { off: true, at: Date.now() });
    this.plan.addEventListener("pointerdown", (event) => this.press(event));
    this.plan.addEventListener("pointermove", (event) => this.move(event));
    this.plan.addEventListener("pointerup", (event) => this.lift(event));
    this.plan.addEventListener("keydown", (event) => this.key(event));
  }

  update({ data, setTriggerValue }) {
    this.data = data;
    this.tell = setTriggerValue;
    this.draw.textContent = data.words.draw;
    this.off.textContent = data.words.off;
    this.off.hidden = !data.line || !data.may;
    this.draw.hidden = !data.may;
    const drawing = data.svg + data.tags_svg;
    if (this.drawing !== drawing) {
      this.drawing = drawing;
      this.plan.replaceChildren();
      // Our own server's drawing; words of the rule book are escaped in it.
      this.plan.innerHTML = data.svg;
      this.over = document.createElementNS(NS, "svg");
      this.over.setAttribute("class", "over");
      this.over.setAttribute("viewBox", `0 0 ${data.width} ${data.height}`);
      this.over.setAttribute("aria-hidden", "true");
      this.plan.append(this.over);
      const tags = make("div", this.plan, { class: "over" });
      tags.innerHTML = data.tags_svg;
      for (const tag of data.tags) this.addTag(tag);
    }
    for (const node of this.plan.querySelectorAll(".tag")) {
      node.setAttribute("aria-current", String(node.dataset.finding === data.chosen));
    }
    this.paint();
  }

  addTag(tag) {
    const node = make("button", this.plan, {
      class: "tag", type: "button", "aria-label": tag.name, "data-finding": tag.finding,
    });
    node.style.left = `${100 * tag.x}%`;
    node.style.top = `${100 * tag.y}%`;
    node.title = tag.name;
    node.onclick = () => this.tell("chosen", tag.finding);
  }

  turn(isDrawing) {
    this.isDrawing = isDrawing;
    this.start = null;
    this.cursor = null;
    this.plan.classList.toggle("drawing", isDrawing);
    if (isDrawing) {
      this.plan.tabIndex = 0;
      this.plan.focus({ preventScroll: true });
    } else {
      this.plan.removeAttribute("tabindex");
    }
    this.paint();
  }

  spot(event) {
    const box = this.plan.getBoundingClientRect();
    const into = (value) => Math.min(1, Math.max(0, value));
    return [
      into((event.clientX - box.left) / box.width), into((event.clientY - box.top) / box.height)];
  }

  press(event) {
    if (!this.isDrawing || this.isPressed) return;
    event.preventDefault();
    this.plan.setPointerCapture(event.pointerId);
    this.isPressed = true;
    this.cursor = this.spot(event);
    this.wasStarted = Boolean(this.start);
    this.start ??= this.cursor;
    this.paint();
  }

  move(event) {
    if (!this.isDrawing || !this.start) return;
    this.cursor = this.spot(event);
    this.paint();
  }

  lift(event) {
    if (!this.isPressed) return;
    this.isPressed = false;
    this.cursor = this.spot(event);
    if (this.wasStarted || this.isLong) this.finish();
    this.paint();
  }

  get isLong() {
    const [a, b] = [this.start, this.cursor];
    return Math.hypot(a[0] - b[0], a[1] - b[1]) > 0.05;
  }

  key(event) {
    if (!this.isDrawing) return;
    const steps = {
      ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1],
    };
    if (event.key in steps) {
      const [dx, dy] = steps[event.key];
      const [x, y] = this.cursor ?? [0.5, 0.02];
      const into = (value) => Math.min(1, Math.max(0, value));
      this.cursor = [into(x + dx * KEY_STEP * 2), into(y + dy * KEY_STEP)];
    } else if (event.key === " " || event.key === "Enter") {
      this.cursor ??= [0.5, 0.02];
      if (this.start) this.finish();
      else this.start = this.cursor;
    } else if (event.key === "Escape") {
      this.turn(false);
    } else {
      return;
    }
    event.preventDefault();
    event.stopPropagation();
    this.paint();
  }

  finish() {
    const [start, end] = [this.start, this.cursor];
    this.turn(false);
    this.tell("line", { start, end, at: Date.now() });
  }

  paint() {
    const { words } = this.data;
    this.draw.setAttribute("aria-pressed", String(this.isDrawing));
    const rest = this.data.line ? words.drawn : words.none;
    this.hint.textContent = this.isDrawing ? (this.start ? words.to : words.from) : rest;
    const stored = this.isDrawing ? null : this.data.line;
    const line = stored ?? (this.start && this.cursor && [this.start, this.cursor]);
    const drawn = [];
    if (line) drawn.push(...this.arrow(line));
    if (this.isDrawing && this.cursor) drawn.push(...this.cross(this.cursor));
    this.over.replaceChildren(...drawn);
  }

  place([x, y]) {
    return [x * this.data.width, y * this.data.height];
  }

  // Dark edge, light core, and chevrons that point the way: legible on any ground.
  arrow([from, to]) {
    const [[x1, y1], [x2, y2]] = [this.place(from), this.place(to)];
    const turn = (Math.atan2(y2 - y1, x2 - x1) * 180) / Math.PI;
    const line = `M${x1} ${y1}L${x2} ${y2}`;
    const head = `M${-22} -14L0 0L-22 14`;
    const strokes = [[12, "#14181c", ""], [6, "#ffffff", ""], [3, "#14181c", "10 8"]];
    const nodes = strokes.map(([width, colour, dash]) => this.path(line, width, colour, dash));
    for (const [width, colour] of [[13, "#14181c"], [6, "#ffffff"]]) {
      const node = this.path(head, width, colour, "");
      node.setAttribute("transform", `translate(${x2} ${y2}) rotate(${turn})`);
      nodes.push(node);
    }
    return nodes;
  }

  cross(at) {
    const [x, y] = this.place(at);
    const d = `M${x - 16} ${y}H${x + 16}M${x} ${y - 16}V${y + 16}`;
    return [this.path(d, 7, "#14181c", ""), this.path(d, 3, "#ffffff", "")];
  }

  path(d, width, colour, dash) {
    const node = document.createElementNS(NS, "path");
    const looks = {
      d, fill: "none", stroke: colour, "stroke-width": width, "stroke-linecap": "round",
      "stroke-dasharray": dash || "none",
    };
    for (const [key, value] of Object.entries(looks)) node.setAttribute(key, value);
    return node;
  }
}
