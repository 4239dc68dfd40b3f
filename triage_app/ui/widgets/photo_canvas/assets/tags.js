// The numbered tag of each mark: number, risk in a word, and our sign where the finding is at
// high voltage. It is placed beside the outline, where it hides neither this damage nor another.

const TAG_HEIGHT = 26;
const TAG_GAP = 15;
const SIGN_YELLOW = "#F9A800";
const TAG_FONT = "bold 14px sans-serif";
const HV_WIDTH = 50;
const HV_SHORT_WIDTH = 26;
const measured = new Map();

function textWidth(text) {
  if (!measured.has(text)) {
    const context = document.createElement("canvas").getContext("2d");
    context.font = TAG_FONT;
    measured.set(text, Math.ceil(context.measureText(text).width));
  }
  return measured.get(text);
}

// A tag says number, word and sign; where there is no room for that, number and triangle only.
function tagOf(mark, style, { view, selectedId, handles }) {
  const bounds = boundsOf(mark.outline);
  const [left, top] = view.toScreen([bounds.left, bounds.top]);
  const [right, bottom] = view.toScreen([bounds.right, bounds.bottom]);
  const number = mark.number === null ? WORDS.newTag : String(mark.number);
  const form = (text, signWidth) =>
    ({ text, signWidth, width: textWidth(text) + 16 + signWidth });
  return {
    mark,
    style,
    forms: [
      form(`${number} ${style.word}`.trim(), mark.hv ? HV_WIDTH : 0),
      form(number, mark.hv ? HV_SHORT_WIDTH : 0),
    ],
    isSelected: mark.id === selectedId,
    grips: mark.id === selectedId ? handles.map((handle) => gripBox(view, handle)) : [],
    box: { left, top, right, bottom },
    at: null,
  };
}

function gripBox(view, { x, y }) {
  const [sx, sy] = view.toScreen([x, y]);
  return { left: sx - 12, top: sy - 12, right: sx + 12, bottom: sy + 12 };
}

function shared(a, b) {
  const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  return across > 0 && down > 0 ? across * down : 0;
}

function candidates(box, width) {
  const above = box.top - TAG_GAP - TAG_HEIGHT;
  const below = box.bottom + TAG_GAP;
  const before = box.left - TAG_GAP - width;
  const after = box.right + TAG_GAP;
  const middle = (box.top + box.bottom - TAG_HEIGHT) / 2;
  return [
    [box.left, above], [box.right - width, above], [box.left, below], [box.right - width, below],
    [after, box.top], [before, box.top], [after, middle], [before, middle],
    [after, box.bottom - TAG_HEIGHT], [before, box.bottom - TAG_HEIGHT],
  ];
}

// The chosen mark and those at high voltage take their places first. A place on the mark itself is
// never taken, one on another mark or tag only where a sign of high voltage would be lost without
// it; otherwise the tag is left out, and the list below the photo still names the mark.
function placeTags(tags, stage) {
  const boxes = tags.map((tag) => tag.box);
  const placed = [];
  const first = (tag) => (tag.isSelected ? 2 : 0) + (tag.mark.hv ? 1 : 0);
  for (const tag of [...tags].sort((a, b) => first(b) - first(a))) {
    if (!shared(tag.box, { left: 0, top: 0, right: stage.width, bottom: stage.height })) continue;
    const spots = tag.forms.map((form) => bestSpot(tag, form, stage, boxes, placed));
    const free = spots.find((spot) => spot && !spot.covered);
    const spot = free ?? (first(tag) ? spots[1] ?? spots[0] : null);
    if (!spot) continue;
    tag.at = spot;
    tag.form = spot.form;
    placed.push(spot);
  }
}

function bestSpot(tag, form, stage, boxes, placed) {
  let best = null;
  for (const [x, y] of candidates(tag.box, form.width)) {
    const left = Math.min(stage.width - form.width - 2, Math.max(2, x));
    const top = Math.min(stage.height - TAG_HEIGHT - 2, Math.max(2, y));
    const spot = { left, top, right: left + form.width, bottom: top + TAG_HEIGHT, form };
    if (shared(spot, tag.box)) continue;
    spot.covered = [...boxes, ...placed, ...tag.grips]
      .reduce((sum, box) => sum + shared(spot, box), 0);
    spot.cost = spot.covered + 20 * (Math.abs(left - x) + Math.abs(top - y));
    if (!best || spot.cost < best.cost) best = spot;
    if (spot.cost === 0) break;
  }
  return best;
}

// Drawn at the origin; a transform brings it to its place.
function tagNode(tag) {
  const label = svgNode("text", { x: 8, y: 18, fill: tag.style.ink, style: `font: ${TAG_FONT}` });
  label.textContent = tag.form.text;
  const node = svgNode("g", { class: "tag", "data-tag": tag.mark.id },
    svgNode("rect", {
      width: tag.form.width,
      height: TAG_HEIGHT,
      rx: 4,
      fill: tag.style.colour,
      stroke: tag.isSelected ? DARK : LIGHT,
      "stroke-width": tag.isSelected ? 3 : 1.5,
    }),
    label);
  if (tag.mark.hv) node.append(hvSign(tag.form.width - tag.form.signWidth, tag.form.signWidth));
  return node;
}

// A triangle with a bolt, and the letters beside it for whoever does not know the sign.
function hvSign(left, width) {
  const sign = svgNode("g", { class: "hv", transform: `translate(${left} 0)` },
    svgNode("rect", {
      x: -2, y: 2, width, height: TAG_HEIGHT - 4, rx: 3,
      fill: SIGN_YELLOW, stroke: DARK, "stroke-width": 1.5,
    }),
    svgNode("path", {
      d: "M11 4l9.5 17h-19z",
      fill: SIGN_YELLOW, stroke: DARK, "stroke-width": 2, "stroke-linejoin": "round",
    }),
    svgNode("path", { d: "M12.5 8l-4 6.2h2.8l-1.6 5 4.6 -6.4h-2.9z", fill: DARK }));
  if (width === HV_WIDTH) {
    const letters = svgNode("text", { x: 24, y: 18, fill: DARK, style: `font: ${TAG_FONT}` });
    letters.textContent = WORDS.hv;
    sign.append(letters);
  }
  return sign;
}
