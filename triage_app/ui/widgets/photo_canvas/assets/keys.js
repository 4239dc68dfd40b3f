// The keyboard on the photo. Single letters work only while the photo has the focus.

const COARSE_PX = 10;
const TOOL_KEYS = { v: "select", r: "rectangle", p: "polygon", e: "ellipse", f: "freehand" };
const ARROWS = {
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1],
};

class Keys {
  constructor(canvas) {
    this.canvas = canvas;
    canvas.stage.addEventListener("keydown", (event) => this.press(event));
    canvas.stage.addEventListener("keyup", (event) => this.release(event));
    canvas.stage.addEventListener("focusout", () => {
      canvas.hands.isSpaceHeld = false;
      canvas.finishEdit();
    });
    canvas.root.addEventListener("keydown", (event) => this.anywhere(event));
  }

  press(event) {
    if (event.target !== this.canvas.stage || event.altKey) return;
    const isControl = event.ctrlKey || event.metaKey;
    const isDone = event.key in ARROWS
      ? this.arrow(event, isControl)
      : !isControl && (this.named(event) || this.letter(event));
    if (!isDone) return;
    event.preventDefault();
    event.stopPropagation();
  }

  // Keys that also work from the buttons and the list.
  anywhere(event) {
    const isControl = event.ctrlKey || event.metaKey;
    if (event.key === "Escape") this.canvas.cancel();
    else if (!isControl || !this.withControl(event)) return;
    event.preventDefault();
  }

  release(event) {
    if (event.key === " ") this.canvas.hands.isSpaceHeld = false;
  }

  withControl(event) {
    const key = event.key.toLowerCase();
    if (key === "z") event.shiftKey ? this.canvas.redo() : this.canvas.undo();
    else if (key === "y") this.canvas.redo();
    else return false;
    return true;
  }

  named(event) {
    const { canvas } = this;
    const acts = {
      Enter: () => this.enter(),
      " ": () => this.space(event),
      Delete: () => this.erase(),
      Backspace: () => this.erase(),
      Insert: () => canvas.addCorner(),
      "+": () => canvas.zoom(1),
      "=": () => canvas.zoom(1),
      "-": () => canvas.zoom(-1),
      0: () => canvas.zoom(0),
    };
    const act = acts[event.key];
    act?.();
    return Boolean(act);
  }

  letter(event) {
    const { canvas } = this;
    const key = event.key.toLowerCase();
    if (key in TOOL_KEYS) {
      canvas.setTool(TOOL_KEYS[key]);
      if (key !== "v") canvas.showKeys(true);
    } else if (key === "g") {
      canvas.nextGrip(event.shiftKey ? -1 : 1);
    } else if (key === "m") {
      this.nextMark(event.shiftKey ? -1 : 1);
    } else if (key === "s") {
      canvas.edges.turn(!canvas.edges.isOn);
    } else if (key === "a" || key === "x") {
      canvas.beginCombine(key === "a" ? "join" : "cut");
    } else {
      return false;
    }
    return true;
  }

  nextMark(direction) {
    const { canvas } = this;
    if (!canvas.marks.length) return;
    canvas.setTool("select");
    const here = canvas.marks.findIndex((mark) => mark.id === canvas.selectedId);
    const start = here < 0 && direction < 0 ? 0 : here;
    const next = canvas.marks[(start + direction + canvas.marks.length) % canvas.marks.length];
    canvas.bar.chooseFromList(next.id);
  }

  // Arrows steer the cross of a drawing tool, the active grip, the chosen mark, or the view.
  arrow(event, isControl) {
    const { canvas } = this;
    const [dx, dy] = ARROWS[event.key];
    const step = event.shiftKey ? 1 : COARSE_PX / canvas.view.scale;
    if (isControl || (canvas.tool === "select" && !canvas.chosen)) {
      canvas.view.panBy(-dx * 60, -dy * 60);
      canvas.paint();
    } else if (canvas.tool !== "select") {
      this.steerCross(dx * step, dy * step);
    } else if (canvas.activeHandle >= 0) {
      this.steerGrip(dx * step, dy * step, dx + dy);
    } else {
      canvas.showKeys(true);
      canvas.editByKey(movedBy(canvas.shownOutline, dx * step, dy * step, canvas.size));
    }
    return true;
  }

  steerCross(dx, dy) {
    const { canvas } = this;
    if (!canvas.cursor) canvas.showKeys(true);
    canvas.cursor = clampPoint([canvas.cursor[0] + dx, canvas.cursor[1] + dy], canvas.size);
    canvas.view.reveal(canvas.cursor, 30);
    const { draft } = canvas;
    if (draft?.tool === "polygon") draft.cursor = canvas.cursor;
    else if (draft && !draft.points) draft.to = canvas.cursor;
    canvas.paint();
  }

  steerGrip(dx, dy, direction) {
    const { canvas } = this;
    const outline = canvas.shownOutline;
    const handle = canvas.handles[canvas.activeHandle];
    canvas.showKeys(true);
    if (handle.kind === "turn") {
      const turned = { ...outline, angle: wrapDegrees(outline.angle + 2 * direction) };
      if (isInside(turned, canvas.size)) canvas.editByKey(turned);
      return;
    }
    const point = [handle.x + dx, handle.y + dy];
    canvas.editByKey(withHandleAt(outline, handle, point, canvas.size));
  }

  enter() {
    const { canvas } = this;
    if (canvas.draft?.points) canvas.finishDraft();
    else if (canvas.tool === "select") canvas.finishEdit();
    else this.point();
  }

  space(event) {
    if (this.canvas.tool === "select") this.canvas.hands.isSpaceHeld = true;
    else if (!event.repeat) {
      this.canvas.hands.isSpaceHeld = true;
      if (this.canvas.cursor) this.point();
    }
  }

  // Sets a point where the cross is: a corner of a polygon, or one of the two of a box.
  point() {
    const { canvas } = this;
    if (!canvas.cursor) {
      canvas.showKeys(true);
      return;
    }
    const { tool, draft, cursor } = canvas;
    if (tool === "polygon" || tool === "freehand") canvas.addPoint(canvas.edges.snapped(cursor));
    else if (!draft) canvas.setDraft({ tool, from: cursor, to: null });
    else {
      draft.to = cursor;
      canvas.finishDraft();
    }
  }

  erase() {
    const { canvas } = this;
    const handle = canvas.handles[canvas.activeHandle];
    if (canvas.draft) canvas.stepBack();
    else if (handle?.kind === "vertex") canvas.removeCorner();
    else canvas.removeChosen();
  }
}
