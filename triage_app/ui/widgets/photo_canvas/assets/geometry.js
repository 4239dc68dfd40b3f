// Outlines as the browser handles them: in pixels of the upright photo, x to the right, y down.
// Fractions exist only at the door: fromStore on the way in, toStore on the way out.

const MIN_SIDE_PX = 1;

function fromStore(outline, size) {
  if (outline.shape === "ellipse") {
    return {
      shape: "ellipse",
      cx: outline.centre[0] * size.width,
      cy: outline.centre[1] * size.height,
      rx: outline.radii_px[0],
      ry: outline.radii_px[1],
      angle: outline.angle_deg,
    };
  }
  const rings = outline.rings.map((ring) =>
    ring.map(([x, y]) => [x * size.width, y * size.height]));
  return { shape: outline.shape, rings };
}

function toStore(outline, size) {
  const frac = (value, full) => Math.min(1, Math.max(0, value / full));
  if (outline.shape === "ellipse") {
    return {
      shape: "ellipse",
      centre: [frac(outline.cx, size.width), frac(outline.cy, size.height)],
      radii_px: [outline.rx, outline.ry],
      angle_deg: outline.angle,
    };
  }
  const rings = outline.rings.map((ring) =>
    ring.map(([x, y]) => [frac(x, size.width), frac(y, size.height)]));
  return { shape: outline.shape, rings };
}

function clampPoint([x, y], size) {
  return [Math.min(size.width, Math.max(0, x)), Math.min(size.height, Math.max(0, y))];
}

function boxBetween(shape, a, b) {
  const [left, right] = [Math.min(a[0], b[0]), Math.max(a[0], b[0])];
  const [top, bottom] = [Math.min(a[1], b[1]), Math.max(a[1], b[1])];
  if (shape === "ellipse") {
    return {
      shape,
      cx: (left + right) / 2,
      cy: (top + bottom) / 2,
      rx: (right - left) / 2,
      ry: (bottom - top) / 2,
      angle: 0,
    };
  }
  return { shape, rings: [[[left, top], [right, top], [right, bottom], [left, bottom]]] };
}

function isDrawable(outline) {
  const box = boundsOf(outline);
  if (box.right - box.left < MIN_SIDE_PX || box.bottom - box.top < MIN_SIDE_PX) return false;
  return outline.shape === "ellipse" || Math.abs(areaOf(outline.rings[0])) >= 1;
}

function areaOf(ring) {
  return ring.reduce((sum, [x, y], i) => {
    const [nextX, nextY] = ring[(i + 1) % ring.length];
    return sum + (x * nextY - nextX * y) / 2;
  }, 0);
}

function ellipseAxes(ellipse) {
  const turn = (ellipse.angle * Math.PI) / 180;
  return { cos: Math.cos(turn), sin: Math.sin(turn) };
}

function ellipsePoint(ellipse, along, across) {
  const { cos, sin } = ellipseAxes(ellipse);
  return [ellipse.cx + along * cos - across * sin, ellipse.cy + along * sin + across * cos];
}

function ellipseFrame(ellipse, [x, y]) {
  const { cos, sin } = ellipseAxes(ellipse);
  const [dx, dy] = [x - ellipse.cx, y - ellipse.cy];
  return [dx * cos + dy * sin, -dx * sin + dy * cos];
}

function boundsOf(outline) {
  if (outline.shape === "ellipse") {
    const { cos, sin } = ellipseAxes(outline);
    const halfWidth = Math.hypot(outline.rx * cos, outline.ry * sin);
    const halfHeight = Math.hypot(outline.rx * sin, outline.ry * cos);
    return {
      left: outline.cx - halfWidth,
      top: outline.cy - halfHeight,
      right: outline.cx + halfWidth,
      bottom: outline.cy + halfHeight,
    };
  }
  const xs = outline.rings.flat().map((point) => point[0]);
  const ys = outline.rings.flat().map((point) => point[1]);
  return {
    left: Math.min(...xs),
    top: Math.min(...ys),
    right: Math.max(...xs),
    bottom: Math.max(...ys),
  };
}

function isInside(outline, size) {
  const box = boundsOf(outline);
  return box.left >= -1e-7 && box.top >= -1e-7 && box.right <= size.width + 1e-7
    && box.bottom <= size.height + 1e-7;
}

function pathOf(outline) {
  if (outline.shape === "ellipse") {
    const [ax, ay] = ellipsePoint(outline, outline.rx, 0);
    const [bx, by] = ellipsePoint(outline, -outline.rx, 0);
    const arc = `A${outline.rx} ${outline.ry} ${outline.angle} 0 1`;
    return `M${ax} ${ay}${arc} ${bx} ${by}${arc} ${ax} ${ay}Z`;
  }
  return outline.rings.map((ring) => `M${ring.map((p) => p.join(" ")).join("L")}Z`).join("");
}

function sidesOf(ring) {
  return ring.map((point, i) => [point, ring[(i + 1) % ring.length]]);
}

function contains(outline, point) {
  if (outline.shape === "ellipse") {
    const [along, across] = ellipseFrame(outline, point);
    return (along / outline.rx) ** 2 + (across / outline.ry) ** 2 <= 1;
  }
  let inside = false;
  for (const [[x1, y1], [x2, y2]] of outline.rings.flatMap(sidesOf)) {
    const crosses = (y1 > point[1]) !== (y2 > point[1]);
    if (crosses && point[0] < ((x2 - x1) * (point[1] - y1)) / (y2 - y1) + x1) inside = !inside;
  }
  return inside;
}

function nearestOnSide([x, y], [x1, y1], [x2, y2]) {
  const length2 = (x2 - x1) ** 2 + (y2 - y1) ** 2;
  const along = length2 ? ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / length2 : 0;
  const t = Math.min(1, Math.max(0, along));
  return [x1 + t * (x2 - x1), y1 + t * (y2 - y1)];
}

function distance(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

// The side of a polygon that is nearest to a point: its ring, the index of its first corner, the
// foot of the point on it, and how far away that is.
function nearestSide(outline, point) {
  let best = null;
  outline.rings.forEach((ring, ringIndex) => {
    sidesOf(ring).forEach(([a, b], index) => {
      const foot = nearestOnSide(point, a, b);
      const gap = distance(point, foot);
      if (!best || gap < best.gap) best = { ring: ringIndex, index, foot, gap };
    });
  });
  return best;
}

function gapTo(outline, point) {
  if (contains(outline, point)) return 0;
  if (outline.shape !== "ellipse") return nearestSide(outline, point).gap;
  const [along, across] = ellipseFrame(outline, point);
  const reach = Math.hypot(along / outline.rx, across / outline.ry);
  return Math.hypot(along, across) * (1 - 1 / reach);
}

function movedBy(outline, dx, dy, size) {
  const box = boundsOf(outline);
  const x = Math.min(Math.max(dx, -box.left), size.width - box.right);
  const y = Math.min(Math.max(dy, -box.top), size.height - box.bottom);
  if (outline.shape === "ellipse") return { ...outline, cx: outline.cx + x, cy: outline.cy + y };
  const rings = outline.rings.map((ring) => ring.map(([px, py]) => [px + x, py + y]));
  return { shape: outline.shape, rings: rings.map((ring) => ring.map((p) => clampPoint(p, size))) };
}

function isSameOutline(a, b) {
  return JSON.stringify(a) === JSON.stringify(b);
}
