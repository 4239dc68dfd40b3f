// A freehand line becomes a clean polygon: few corners, and no side that crosses another.

const STROKE_STEP = 2;
const STROKE_SLACK = 1.2;
const STROKE_CORNERS = 240;

// ``slack`` is how far, in photo pixels, the polygon may stray from the line that was drawn. It
// grows only where the line has more bends than STROKE_CORNERS.
function cleanRing(line, slack) {
  let corners = simplified(line, slack);
  for (let wider = slack * 1.4; corners.length > STROKE_CORNERS; wider *= 1.4) {
    corners = simplified(line, wider);
  }
  if (corners.length > 1 && distance(corners[0], corners.at(-1)) <= slack) corners.pop();
  return uncrossed(corners);
}

// Ramer's and Douglas and Peucker's way: a point that the straight line misses by more than
// ``slack`` is kept, and both halves are looked at in turn.
function simplified(line, slack) {
  const kept = new Set([0, line.length - 1]);
  const open = [[0, line.length - 1]];
  while (open.length) {
    const [first, last] = open.pop();
    let worst = { gap: slack, index: -1 };
    for (let i = first + 1; i < last; i += 1) {
      const gap = distance(line[i], nearestOnSide(line[i], line[first], line[last]));
      if (gap > worst.gap) worst = { gap, index: i };
    }
    if (worst.index < 0) continue;
    kept.add(worst.index);
    open.push([first, worst.index], [worst.index, last]);
  }
  return line.filter((_point, i) => kept.has(i));
}

// Where the ring crosses itself it is two loops; the larger one is what was meant, the smaller
// one is an overshoot at the start, or a tremor.
function uncrossed(ring) {
  let corners = ring;
  for (let round = 0; round < 200; round += 1) {
    const crossing = firstCrossing(corners);
    if (!crossing) return corners;
    const { i, j, at } = crossing;
    const inner = [at, ...corners.slice(i + 1, j + 1)];
    const outer = [...corners.slice(0, i + 1), at, ...corners.slice(j + 1)];
    corners = Math.abs(areaOf(inner)) > Math.abs(areaOf(outer)) ? inner : outer;
  }
  return corners;
}

function firstCrossing(ring) {
  const sides = sidesOf(ring);
  for (let i = 0; i < sides.length; i += 1) {
    for (let j = i + 2; j < sides.length; j += 1) {
      if (i === 0 && j === sides.length - 1) continue;
      const at = meeting(sides[i], sides[j]);
      if (at) return { i, j, at };
    }
  }
  return null;
}

// Where two sides meet, ends included; null where they do not, or lie along each other.
function meeting([a, b], [c, d]) {
  const [abX, abY, cdX, cdY] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  const cross = abX * cdY - abY * cdX;
  if (Math.abs(cross) < 1e-12) return null;
  const t = ((c[0] - a[0]) * cdY - (c[1] - a[1]) * cdX) / cross;
  const u = ((c[0] - a[0]) * abY - (c[1] - a[1]) * abX) / cross;
  return t >= 0 && t <= 1 && u >= 0 && u <= 1 ? [a[0] + t * abX, a[1] + t * abY] : null;
}
