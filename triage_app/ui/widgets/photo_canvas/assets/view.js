// Which part of the photo is on the screen. ``scale`` is screen pixels per photo pixel; ``x`` and
// ``y`` are where the photo's corner lies on the stage, in whole screen pixels, so that pictures
// stay crisp and a pointer on a whole pixel means an exact place on the photo.

const ZOOM_STEPS = [0.05, 0.1, 0.15, 0.25, 0.35, 0.5, 0.75, 1, 1.5, 2, 3, 4, 6, 8];
const MAX_SCALE = 8;
const FIT_MARGIN = 8;
const EDGE_ROOM = 60;

class View {
  constructor(size) {
    this.size = size;
    this.stage = { width: 0, height: 0 };
    this.scale = 1;
    this.x = 0;
    this.y = 0;
    this.isFitted = true;
  }

  get fitScale() {
    const across = (this.stage.width - 2 * FIT_MARGIN) / this.size.width;
    const down = (this.stage.height - 2 * FIT_MARGIN) / this.size.height;
    return Math.max(0.001, Math.min(across, down, MAX_SCALE));
  }

  // A stage of another size keeps what was in its middle; a fitted photo is fitted again.
  resize(width, height) {
    if (width === this.stage.width && height === this.stage.height) return;
    const middle = this.stage.width ? this.toPhoto(this.stageMiddle) : null;
    this.stage = { width, height };
    if (this.isFitted || !middle) this.fit();
    else this.show(middle, this.scale);
  }

  get stageMiddle() {
    return [this.stage.width / 2, this.stage.height / 2];
  }

  fit() {
    this.scale = this.fitScale;
    this.settle();
    this.isFitted = true;
  }

  show(middle, scale) {
    this.scale = scale;
    this.x = this.stage.width / 2 - middle[0] * scale;
    this.y = this.stage.height / 2 - middle[1] * scale;
    this.settle();
  }

  zoomAt([sx, sy], wanted) {
    const scale = Math.min(MAX_SCALE, Math.max(this.fitScale, wanted));
    const [px, py] = this.toPhoto([sx, sy]);
    this.scale = scale;
    this.x = sx - px * scale;
    this.y = sy - py * scale;
    this.settle();
  }

  step(direction, about = this.stageMiddle) {
    const steps = [this.fitScale, ...ZOOM_STEPS.filter((step) => step > this.fitScale)];
    const next = direction > 0
      ? steps.find((step) => step > this.scale * 1.001)
      : steps.findLast((step) => step < this.scale * 0.999);
    if (next === undefined) return;
    const { width, height } = this.stage;
    const isOnStage = about[0] >= 0 && about[1] >= 0 && about[0] <= width && about[1] <= height;
    this.zoomAt(isOnStage ? about : this.stageMiddle, next);
  }

  panBy(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.settle();
  }

  settle() {
    const keep = (offset, length, room) => (length + 2 * FIT_MARGIN <= room
      ? (room - length) / 2
      : Math.min(EDGE_ROOM, Math.max(room - length - EDGE_ROOM, offset)));
    this.x = Math.round(keep(this.x, this.size.width * this.scale, this.stage.width));
    this.y = Math.round(keep(this.y, this.size.height * this.scale, this.stage.height));
    this.isFitted = this.scale <= this.fitScale * 1.0001;
  }

  // Pans just far enough for a place on the photo to be on the stage.
  reveal(point, margin) {
    const [sx, sy] = this.toScreen(point);
    const into = (value, room) => Math.min(room - margin, Math.max(margin, value)) - value;
    this.panBy(into(sx, this.stage.width), into(sy, this.stage.height));
  }

  toPhoto([sx, sy]) {
    return [(sx - this.x) / this.scale, (sy - this.y) / this.scale];
  }

  toScreen([px, py]) {
    return [px * this.scale + this.x, py * this.scale + this.y];
  }
}
