// The loupe: what lies under a finger, larger, in a corner of the stage that the finger is not in.

const LOUPE_SIDE = 168;
const LOUPE_ZOOM = 2.5;
const LOUPE_ROOM = 24;

class Loupe {
  constructor(canvas) {
    this.canvas = canvas;
    this.glass = canvas.root.querySelector(".loupe");
  }

  hide() {
    this.glass.hidden = true;
  }

  // ``point`` is the place on the photo that the finger sets, ``screen`` where the finger is.
  show(point, screen) {
    const { glass, canvas } = this;
    const ratio = devicePixelRatio;
    if (glass.width !== LOUPE_SIDE * ratio) {
      glass.width = LOUPE_SIDE * ratio;
      glass.height = LOUPE_SIDE * ratio;
    }
    glass.hidden = false;
    glass.dataset.side = this.sideFor(screen);
    const scale = Math.max(1, canvas.view.scale * LOUPE_ZOOM) * ratio;
    const middle = glass.width / 2;
    const pen = glass.getContext("2d");
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.fillStyle = "#2a2e32";
    pen.fillRect(0, 0, glass.width, glass.height);
    pen.setTransform(scale, 0, 0, scale, middle - point[0] * scale, middle - point[1] * scale);
    const { sharpest } = canvas.photo;
    if (sharpest) pen.drawImage(sharpest, 0, 0, canvas.size.width, canvas.size.height);
    this.lines(pen, ratio / scale);
    pen.setTransform(1, 0, 0, 1, 0, 0);
    this.cross(pen, middle, ratio);
  }

  // Stays where it is until the finger comes near, so that it does not jump about.
  sideFor([x, y]) {
    const reach = LOUPE_SIDE + LOUPE_ROOM * 2;
    const { width } = this.canvas.view.stage;
    const side = this.glass.dataset.side || (this.canvas.reach.isLeft ? "right" : "left");
    if (y > reach) return side;
    if (side === "left" && x < reach) return "right";
    return side === "right" && x > width - reach ? "left" : side;
  }

  lines(pen, unit) {
    const { draft, edit } = this.canvas;
    const path = edit ? pathOf(edit.outline) : draft && draftPath(draft);
    if (!path) return;
    const drawn = new Path2D(path);
    for (const [width, colour] of [[5, DARK], [2, LIGHT]]) {
      pen.lineWidth = width * unit;
      pen.strokeStyle = colour;
      pen.stroke(drawn);
    }
  }

  // A gap is left at the very place, so that it can be seen.
  cross(pen, middle, ratio) {
    for (const [width, colour] of [[5, DARK], [2, LIGHT]]) {
      pen.lineWidth = width * ratio;
      pen.strokeStyle = colour;
      pen.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        pen.moveTo(middle + dx * 6 * ratio, middle + dy * 6 * ratio);
        pen.lineTo(middle + dx * 30 * ratio, middle + dy * 30 * ratio);
      }
      pen.stroke();
    }
  }
}

// The half-drawn shape as a path in photo pixels.
function draftPath(draft) {
  if (!draft.points) return draft.to && pathOf(boxBetween(draft.tool, draft.from, draft.to));
  const points = draft.cursor ? [...draft.points, draft.cursor] : draft.points;
  return points.length ? `M${points.map((point) => point.join(" ")).join("L")}` : "";
}
