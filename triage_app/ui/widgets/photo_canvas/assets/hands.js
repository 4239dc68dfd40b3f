// Mouse, finger and pen on the photo. One pointer draws, moves or pans, by tool; two fingers pinch
// and pan whatever the tool is, and take back what the first of them had begun. While a pen is in
// use, fingers only move the photo, so that a resting hand draws nothing.

const SLOP = { mouse: 3, pen: 4, touch: 9 };
const REACH = { mouse: 12, pen: 16, touch: 24 };
const DOUBLE_MS = 350;
const PEN_MS = 20_000;
const PALM_PX = 60;

class Hands {
  constructor(canvas) {
    this.canvas = canvas;
    this.down = new Map();
    this.act = null;
    this.lastTap = { at: 0, point: [0, 0] };
    this.isSpaceHeld = false;
    this.penSeen = -Infinity;
    const { stage } = canvas;
    stage.addEventListener("pointerdown", (event) => this.press(event));
    stage.addEventListener("pointermove", (event) => this.move(event));
    stage.addEventListener("pointerup", (event) => this.lift(event));
    stage.addEventListener("pointercancel", (event) => this.lose(event));
    stage.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    stage.addEventListener("contextmenu", (event) => event.preventDefault());
  }

  spot(event) {
    const frame = this.canvas.stage.getBoundingClientRect();
    const { clientLeft, clientTop } = this.canvas.stage;
    return [event.clientX - frame.left - clientLeft, event.clientY - frame.top - clientTop];
  }

  onPhoto(screen) {
    return clampPoint(this.canvas.view.toPhoto(screen), this.canvas.size);
  }

  forget() {
    this.act = this.down.size ? IDLE : null;
  }

  isPalm(event) {
    if (event.pointerType !== "touch") return false;
    const hasPen = [...this.down.values()].some((one) => one.type === "pen");
    return hasPen || Math.max(event.width, event.height) >= PALM_PX;
  }

  get isPenInUse() {
    return performance.now() - this.penSeen < PEN_MS;
  }

  // A hand that came down before its pen has begun nothing.
  takePen() {
    this.penSeen = performance.now();
    if (!this.down.size) return;
    this.act?.cancel?.();
    this.act = null;
    this.down.clear();
  }

  press(event) {
    if (event.button === 2 || this.isPalm(event)) return;
    event.preventDefault();
    const { canvas } = this;
    if (event.pointerType === "pen") this.takePen();
    canvas.stage.focus({ preventScroll: true });
    canvas.stage.setPointerCapture(event.pointerId);
    canvas.showKeys(false);
    canvas.goOn();
    const screen = this.spot(event);
    this.down.set(event.pointerId, { screen, start: screen, type: event.pointerType });
    if (this.down.size === 1) {
      this.act = this.begin(screen, event);
      this.act.press?.(screen);
      this.look(event, screen);
    } else if (this.down.size === 2) {
      this.act?.cancel?.();
      this.act = new Pinch(this);
      canvas.loupe.hide();
    }
  }

  look(event, screen) {
    const point = event.pointerType === "touch" ? this.act?.aim?.() : null;
    if (point) this.canvas.loupe.show(point, screen);
    else this.canvas.loupe.hide();
  }

  begin(screen, event) {
    const { canvas } = this;
    const reach = REACH[event.pointerType] ?? REACH.touch;
    const onlyMoves = event.pointerType === "touch" && this.isPenInUse && canvas.tool !== "select";
    if (event.button === 1 || this.isSpaceHeld || onlyMoves) return new Pan(this);
    if (canvas.tool === "freehand") return new Stroke(this);
    if (canvas.tool === "polygon") return new Corner(this, reach);
    if (canvas.tool !== "select") return new Box(this);
    const grip = this.gripAt(screen, reach);
    if (grip >= 0) return new Grip(this, grip);
    const hit = this.markAt(screen, reach);
    if (hit && hit.id === canvas.selectedId) return new Move(this);
    return new Pan(this, hit);
  }

  move(event) {
    const pointer = this.down.get(event.pointerId);
    const screen = this.spot(event);
    if (!pointer) {
      if (event.pointerType === "pen") this.penSeen = performance.now();
      this.hover(screen);
      return;
    }
    const slop = SLOP[pointer.type] ?? SLOP.touch;
    pointer.screen = screen;
    pointer.hasMoved ||= distance(screen, pointer.start) > slop;
    if (this.down.size !== 2 && !pointer.hasMoved) return;
    this.act?.trace?.(this.between(event));
    this.act?.drag?.(screen, pointer.start);
    this.look(event, screen);
  }

  between(event) {
    const all = event.getCoalescedEvents?.() ?? [];
    return (all.length ? all : [event]).map((one) => this.spot(one));
  }

  lift(event) {
    const pointer = this.down.get(event.pointerId);
    if (!pointer) return;
    this.down.delete(event.pointerId);
    const { act } = this;
    this.act = this.down.size ? IDLE : null;
    this.canvas.loupe.hide();
    const screen = this.spot(event);
    if (pointer.hasMoved) act?.drop?.(screen, pointer.start);
    else this.tap(act, screen);
  }

  tap(act, screen) {
    const now = performance.now();
    const isDouble = now - this.lastTap.at < DOUBLE_MS && distance(screen, this.lastTap.point) < 16;
    this.lastTap = { at: isDouble ? 0 : now, point: screen };
    act?.tap?.(screen, isDouble);
  }

  lose(event) {
    if (!this.down.delete(event.pointerId)) return;
    this.act?.cancel?.();
    this.act = this.down.size ? IDLE : null;
    this.canvas.loupe.hide();
  }

  // With a mouse the half-drawn shape follows, and the pointer tells what a press would do.
  hover(screen) {
    const { canvas } = this;
    const { draft } = canvas;
    if (draft?.tool === "polygon") draft.cursor = this.onPhoto(screen);
    else if (draft && !draft.points) draft.to = this.onPhoto(screen);
    if (draft) canvas.paint();
    canvas.stage.dataset.over = this.over(screen);
  }

  over(screen) {
    if (this.canvas.tool !== "select") return "";
    if (this.gripAt(screen, REACH.mouse) >= 0) return "grip";
    const hit = this.markAt(screen, REACH.mouse);
    if (!hit) return "";
    return hit.id === this.canvas.selectedId ? "chosen" : "mark";
  }

  gripAt(screen, reach) {
    let best = { index: -1, gap: reach };
    this.canvas.handles.forEach((handle, index) => {
      const gap = distance(screen, this.canvas.view.toScreen([handle.x, handle.y]));
      if (gap <= best.gap) best = { index, gap };
    });
    return best.index;
  }

  // The chosen mark first, then the smallest that lies under the pointer or within its reach.
  markAt(screen, reach) {
    const { canvas } = this;
    const point = canvas.view.toPhoto(screen);
    const near = canvas.marks.filter(
      (mark) => gapTo(mark.outline, point) * canvas.view.scale <= reach / 2);
    const area = ({ outline }) => {
      const box = boundsOf(outline);
      return (box.right - box.left) * (box.bottom - box.top);
    };
    return near.find((mark) => mark.id === canvas.selectedId)
      ?? near.sort((a, b) => area(a) - area(b))[0] ?? null;
  }

  // At the whole photo, turning the wheel further out scrolls the page as usual.
  wheel(event) {
    const { view } = this.canvas;
    if (event.deltaY > 0 && view.isFitted) return;
    event.preventDefault();
    const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
    const rate = event.ctrlKey ? 0.01 : 0.0015;
    view.zoomAt(this.spot(event), view.scale * Math.exp(-event.deltaY * lines * rate));
    this.canvas.paint();
  }
}
