// The grips by which a person changes a mark: corners and sides, vertices, radii, the turn grip.

const TURN_REACH = 34;

// Grips in a fixed order, so that an index names the same grip after each change. ``reach`` is
// the length of one screen pixel in photo pixels; only the turn grip depends on it.
function handlesOf(outline, reach) {
  if (outline.shape === "ellipse") return ellipseHandles(outline, reach);
  if (outline.shape === "rectangle") return rectangleHandles(outline.rings[0]);
  return outline.rings.flatMap((ring, ringIndex) =>
    ring.map(([x, y], index) => ({ kind: "vertex", ring: ringIndex, index, x, y })));
}

function rectangleHandles(corners) {
  const handles = [];
  sidesOf(corners).forEach(([[x1, y1], [x2, y2]], index) => {
    handles.push({ kind: "corner", index, x: x1, y: y1 });
    handles.push({ kind: "side", index, x: (x1 + x2) / 2, y: (y1 + y2) / 2 });
  });
  return handles;
}

function ellipseHandles(ellipse, reach) {
  const at = (kind, index, along, across) => {
    const [x, y] = ellipsePoint(ellipse, along, across);
    return { kind, index, x, y };
  };
  return [
    at("radius-x", 0, ellipse.rx, 0),
    at("radius-y", 1, 0, ellipse.ry),
    at("radius-x", 2, -ellipse.rx, 0),
    at("radius-y", 3, 0, -ellipse.ry),
    at("turn", 4, 0, -ellipse.ry - TURN_REACH * reach),
  ];
}

// The outline after a grip was brought to a point; the old one where that would leave the photo.
function withHandleAt(outline, handle, point, size) {
  const changed = HANDLE_MOVES[handle.kind](outline, handle, clampPoint(point, size), point);
  return isInside(changed, size) && isDrawable(changed) ? changed : outline;
}

const HANDLE_MOVES = {
  vertex: (outline, handle, point) => ({
    shape: outline.shape,
    rings: outline.rings.map((ring, ringIndex) =>
      ring.map((old, i) => (ringIndex === handle.ring && i === handle.index ? point : old))),
  }),
  corner: (outline, handle, point) => {
    const corners = outline.rings[0];
    return cornersFrom(outline, corners, handle.index, point);
  },
  side: (outline, handle, point) => {
    const corners = outline.rings[0];
    const [a, b] = [handle.index, (handle.index + 1) % 4];
    const isLevel = Math.abs(corners[a][1] - corners[b][1]) < Math.abs(corners[a][0] - corners[b][0]);
    const moved = corners.map((corner, i) => {
      if (i !== a && i !== b) return corner;
      return isLevel ? [corner[0], point[1]] : [point[0], corner[1]];
    });
    return { shape: outline.shape, rings: [moved] };
  },
  "radius-x": (outline, _handle, point) =>
    ({ ...outline, rx: Math.abs(ellipseFrame(outline, point)[0]) }),
  "radius-y": (outline, _handle, point) =>
    ({ ...outline, ry: Math.abs(ellipseFrame(outline, point)[1]) }),
  turn: (outline, _handle, _point, anywhere) => {
    const degrees = Math.atan2(anywhere[1] - outline.cy, anywhere[0] - outline.cx) * 180 / Math.PI;
    return { ...outline, angle: wrapDegrees(degrees + 90) };
  },
};

// The opposite corner stays; the two neighbours follow, so that a rectangle stays one.
function cornersFrom(outline, corners, index, point) {
  const opposite = corners[(index + 2) % 4];
  const next = corners[(index + 1) % 4];
  const sharesX = Math.abs(next[0] - corners[index][0]) <= Math.abs(next[1] - corners[index][1]);
  const moved = [];
  moved[index] = point;
  moved[(index + 2) % 4] = opposite;
  moved[(index + 1) % 4] = sharesX ? [point[0], opposite[1]] : [opposite[0], point[1]];
  moved[(index + 3) % 4] = sharesX ? [opposite[0], point[1]] : [point[0], opposite[1]];
  return { shape: outline.shape, rings: [moved] };
}

function wrapDegrees(degrees) {
  const wrapped = ((degrees % 360) + 360) % 360;
  return wrapped > 180 ? wrapped - 360 : wrapped;
}

// A rectangle that gets a fifth corner is a polygon from then on.
function withPoint(outline, ringIndex, after, point) {
  const rings = outline.rings.map((ring, i) =>
    (i === ringIndex ? [...ring.slice(0, after + 1), point, ...ring.slice(after + 1)] : ring));
  return { shape: "polygon", rings };
}

// Without one corner; null where that would leave fewer than three.
function withoutPoint(outline, ringIndex, index) {
  if (outline.shape === "ellipse" || outline.rings[ringIndex].length <= 3) return null;
  const rings = outline.rings.map((ring, i) =>
    (i === ringIndex ? ring.filter((_point, j) => j !== index) : ring));
  const changed = { shape: "polygon", rings };
  return isDrawable(changed) ? changed : null;
}

function longestSide(outline) {
  let best = { length: -1 };
  outline.rings.forEach((ring, ringIndex) => {
    sidesOf(ring).forEach(([a, b], index) => {
      const length = distance(a, b);
      if (length > best.length) best = { ring: ringIndex, index, length, middle: midway(a, b) };
    });
  });
  return best;
}

function midway(a, b) {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}
