// What a press on the photo turns into. Each act may take: press, drag, drop (the end of a drag),
// tap (an end without a drag) and cancel (a second finger came, or the pointer was lost).

const IDLE = {};

class Act {
  constructor(hands) {
    this.hands = hands;
    this.canvas = hands.canvas;
  }

  get view() {
    return this.canvas.view;
  }

  // The place on the photo that a finger sets just now, for the loupe; null where it sets none.
  aim() {
    return null;
  }
}

// Drag pans; a tap chooses what lies under it, or nothing.
class Pan extends Act {
  constructor(hands, hit) {
    super(hands);
    this.hit = hit;
  }

  drag(screen, start) {
    const last = this.last ?? start;
    this.view.panBy(screen[0] - last[0], screen[1] - last[1]);
    this.last = screen;
    this.canvas.paint();
  }

  tap() {
    if (this.hit !== undefined) this.canvas.choose(this.hit?.id ?? null);
  }
}

class Pinch extends Act {
  constructor(hands) {
    super(hands);
    const { middle, spread } = this.fingers();
    this.anchor = this.view.toPhoto(middle);
    this.ratio = this.view.scale / Math.max(1, spread);
  }

  fingers() {
    const [a, b] = [...this.hands.down.values()].map((pointer) => pointer.screen);
    return { middle: midway(a, b), spread: distance(a, b) };
  }

  drag() {
    if (this.hands.down.size !== 2) return;
    const { middle, spread } = this.fingers();
    const { view } = this;
    view.zoomAt(middle, this.ratio * spread);
    const [x, y] = view.toScreen(this.anchor);
    view.panBy(middle[0] - x, middle[1] - y);
    this.canvas.paint();
  }
}

// Rectangle or ellipse: from corner to corner by a drag, or by two taps.
class Box extends Act {
  constructor(hands) {
    super(hands);
    this.before = this.canvas.draft;
  }

  drag(screen, start) {
    const from = this.before?.from ?? this.hands.onPhoto(start);
    this.canvas.draft = { tool: this.canvas.tool, from, to: this.hands.onPhoto(screen) };
    this.canvas.paint();
  }

  aim() {
    return this.canvas.draft?.to ?? null;
  }

  drop(screen, start) {
    this.drag(screen, start);
    this.canvas.finishDraft();
  }

  tap(screen) {
    const point = this.hands.onPhoto(screen);
    if (!this.before) {
      this.canvas.setDraft({ tool: this.canvas.tool, from: point, to: null });
      return;
    }
    this.canvas.draft = { ...this.before, to: point };
    this.canvas.finishDraft();
  }

  cancel() {
    this.canvas.setDraft(this.before);
  }
}

// A corner of a polygon: it follows the pointer until that is lifted.
class Corner extends Act {
  constructor(hands, reach) {
    super(hands);
    this.reach = reach;
    this.points = this.canvas.draft?.points ?? [];
  }

  press(screen) {
    this.drag(screen);
  }

  drag(screen) {
    this.canvas.draft = {
      tool: "polygon", points: this.points, cursor: this.place(screen),
    };
    this.canvas.paint();
  }

  place(screen) {
    return this.canvas.edges.snapped(this.hands.onPhoto(screen));
  }

  aim() {
    return this.canvas.draft?.cursor ?? null;
  }

  drop(screen) {
    if (this.isAtFirst(screen)) this.canvas.finishDraft();
    else this.canvas.addPoint(this.place(screen));
  }

  tap(screen, isDouble) {
    const mayClose = this.points.length >= 3;
    if (mayClose && (isDouble || this.isAtFirst(screen))) this.canvas.finishDraft();
    else if (!isDouble) this.drop(screen);
  }

  isAtFirst(screen) {
    return this.points.length >= 3
      && distance(screen, this.view.toScreen(this.points[0])) <= this.reach;
  }

  cancel() {
    this.canvas.setDraft(this.points.length
      ? { tool: "polygon", points: this.points, cursor: null } : null);
  }
}

// A line drawn freehand; lifting the pointer closes it. After a reload the next press goes on with
// what was drawn before.
class Stroke extends Act {
  constructor(hands) {
    super(hands);
    this.before = this.canvas.draft;
    this.points = [...this.before?.points ?? []];
    this.keptAt = performance.now();
  }

  press(screen) {
    this.trace([screen]);
  }

  // Every place that the pointer reported, also those between two frames.
  trace(screens) {
    for (const screen of screens) {
      const point = this.hands.onPhoto(screen);
      const last = this.points.at(-1);
      if (!last || distance(point, last) * this.view.scale >= STROKE_STEP) this.points.push(point);
    }
    this.canvas.draft = { tool: "freehand", points: this.points, cursor: null };
    if (performance.now() - this.keptAt > 250) {
      this.keptAt = performance.now();
      this.canvas.keepDraft();
    }
    this.canvas.paint();
  }

  aim() {
    return this.points.at(-1);
  }

  drop() {
    this.canvas.finishDraft();
  }

  tap() {
    this.canvas.setDraft(this.before ? { ...this.canvas.draft } : null);
  }

  cancel() {
    this.canvas.setDraft(this.before);
  }
}

// Moving the chosen mark; a double tap on one of its sides adds a corner there.
class Move extends Act {
  constructor(hands) {
    super(hands);
    this.canvas.finishEdit();
    this.outline = this.canvas.chosen.outline;
  }

  drag(screen, start) {
    const { scale } = this.view;
    const by = [(screen[0] - start[0]) / scale, (screen[1] - start[1]) / scale];
    this.canvas.editTo(movedBy(this.outline, by[0], by[1], this.canvas.size));
  }

  drop(screen, start) {
    this.drag(screen, start);
    this.canvas.finishEdit();
  }

  tap(screen, isDouble) {
    if (!isDouble || this.outline.shape === "ellipse") return;
    const side = nearestSide(this.outline, this.view.toPhoto(screen));
    if (side.gap * this.view.scale <= REACH.touch) this.canvas.addCorner(side);
  }

  cancel() {
    this.canvas.dropEdit();
  }
}

// Dragging a grip. It keeps its distance to the pointer, so that it never jumps under a finger.
class Grip extends Act {
  constructor(hands, index) {
    super(hands);
    this.canvas.finishEdit();
    this.outline = this.canvas.chosen.outline;
    this.index = index;
    this.handle = this.canvas.handles[index];
  }

  drag(screen, start) {
    const grip = this.view.toScreen([this.handle.x, this.handle.y]);
    const target = [grip[0] + screen[0] - start[0], grip[1] + screen[1] - start[1]];
    const free = this.view.toPhoto(target);
    const point = this.handle.kind === "vertex" ? this.canvas.edges.snapped(free) : free;
    const now = this.canvas.shownOutline;
    const wanted = withHandleAt(this.outline, this.handle, point, this.canvas.size);
    this.canvas.editTo(wanted === this.outline ? now : wanted);
  }

  aim() {
    const grip = this.canvas.handles[this.index];
    return grip ? [grip.x, grip.y] : null;
  }

  drop(screen, start) {
    this.drag(screen, start);
    this.canvas.finishEdit();
    this.tap();
  }

  tap() {
    this.canvas.activeHandle = this.index;
    this.canvas.refresh();
  }

  cancel() {
    this.canvas.dropEdit();
  }
}
