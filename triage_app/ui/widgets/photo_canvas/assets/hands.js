// Mouse, finger and pen on the photo. One pointer draws, moves or pans, by tool; two fingers pinch
// and pan whatever the tool is, and take back what the first of them had begun.

const SLOP = { mouse: 3, pen: 4, touch: 9 };
const REACH = { mouse: 12, pen: 16, touch: 24 };
const DOUBLE_MS = 350;

class Hands {
  constructor(canvas) {
    this.canvas = canvas;
    this.down = new Map();
    this.act = null;
    this.lastTap = { at: 0, point: [0, 0] };
    this.isSpaceHeld = false;
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

  press(event) {
    if (event.button === 2) return;
    const isPalm = event.pointerType === "touch"
      && [...this.down.values()].some((one) => one.type === "pen");
    if (isPalm) return;
    event.preventDefault();
    const { canvas } = this;
    canvas.stage.focus({ preventScroll: true });
    canvas.stage.setPointerCapture(event.pointerId);
    canvas.showKeys(false);
    canvas.goOn();
    const screen = this.spot(event);
    this.down.set(event.pointerId, { screen, start: screen, type: event.pointerType });
    if (this.down.size === 1) {
      this.act = this.begin(screen, event);
      this.act.press?.(screen);
    } else if (this.down.size === 2) {
      this.act?.cancel?.();
      this.act = new Pinch(this);
    }
  }

  begin(screen, event) {
    const { canvas } = this;
    const reach = REACH[event.pointerType] ?? REACH.touch;
    if (event.button === 1 || this.isSpaceHeld) return new Pan(this);
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
      this.hover(screen);
      return;
    }
    const slop = SLOP[pointer.type] ?? SLOP.touch;
    pointer.screen = screen;
    pointer.hasMoved ||= distance(screen, pointer.start) > slop;
    if (this.down.size === 2 || pointer.hasMoved) this.act?.drag?.(screen, pointer.start);
  }

  lift(event) {
    const pointer = this.down.get(event.pointerId);
    if (!pointer) return;
    this.down.delete(event.pointerId);
    const { act } = this;
    this.act = this.down.size ? IDLE : null;
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
  }

  // With a mouse the half-drawn shape follows, and the pointer tells what a press would do.
  hover(screen) {
    const { canvas } = this;
    const { draft } = canvas;
    if (draft?.tool === "polygon") draft.cursor = this.onPhoto(screen);
    else if (draft) draft.to = this.onPhoto(screen);
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
