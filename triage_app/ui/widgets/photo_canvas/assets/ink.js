// Draws marks, grips and half-drawn shapes over the photo. Outlines live in photo pixels under one
// transform; tags and grips keep their size and live in screen pixels. As in the report, a mark is
// drawn outside its outline only, so that the damage stays bare: dark edge, light core with the
// dashed line in the risk's colour, dark casing, then a narrow band of the risk's pattern.

const SVG = "http://www.w3.org/2000/svg";
const DARK = "#101214";
const LIGHT = "#FFFFFF";
const PENDING = { word: "", colour: "#4A4F55", ink: LIGHT, dash: [], pattern: "plain" };
const LINE_WIDTH = 3.5;

function svgNode(name, attributes, ...children) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  node.append(...children);
  return node;
}

class Ink {
  constructor(svg) {
    this.svg = svg;
    this.defs = svg.appendChild(svgNode("defs", {}));
    this.areaLayer = svg.appendChild(svgNode("g", { class: "areas" }));
    this.world = svg.appendChild(svgNode("g", { class: "world" }));
    this.tagLayer = svg.appendChild(svgNode("g", { class: "tags" }));
    this.top = svg.appendChild(svgNode("g", { class: "top" }));
    this.nodes = new Map();
    this.tags = new Map();
    this.styles = {};
  }

  setStyles(styles) {
    const known = JSON.stringify(this.styles);
    if (known === JSON.stringify(styles)) return;
    this.styles = styles;
    this.patternScale = null;
    this.defs.replaceChildren(...Object.entries(styles).map(([risk, s]) => fillPattern(risk, s)));
  }

  styleOf(mark) {
    return this.styles[mark.risk] ?? PENDING;
  }

  // ``scene``: marks, areas, selectedId, draft, handles, activeHandle, cursor, view.
  draw(scene) {
    const areas = scene.areas ?? [];
    this.areaLayer.replaceChildren(...areas.flatMap((area) => areaNodes(area, scene.view)));
    this.syncMarks(scene);
    this.drawTags(scene);
    this.top.replaceChildren(
      ...draftNodes(scene),
      ...handleNodes(scene),
      ...cursorNodes(scene));
    const { x, y, scale } = scene.view;
    this.world.setAttribute("transform", `matrix(${scale} 0 0 ${scale} ${x} ${y})`);
    if (scale === this.patternScale) return;
    this.patternScale = scale;
    for (const pattern of this.defs.children) {
      pattern.setAttribute("patternTransform", `scale(${1 / scale})`);
    }
  }

  syncMarks(scene) {
    const wanted = new Set(scene.marks.map((mark) => mark.id));
    for (const [id, node] of this.nodes) {
      if (!wanted.has(id)) {
        node.remove();
        this.nodes.delete(id);
      }
    }
    for (const mark of scene.marks) {
      const isSelected = mark.id === scene.selectedId;
      const path = pathOf(mark.outline);
      const look = `${mark.risk} ${isSelected} ${path}`;
      let node = this.nodes.get(mark.id);
      if (node?.look !== look) {
        const fresh = markNode(mark, this.styleOf(mark), isSelected, path);
        if (node) node.replaceWith(fresh);
        else this.world.append(fresh);
        node = fresh;
        node.look = look;
        this.nodes.set(mark.id, node);
      }
      if (isSelected && node !== this.world.lastChild) this.world.append(node);
      node.style.display = isInSight(mark.outline, scene.view) ? "" : "none";
    }
  }

  // A tag is made once for what it says, and from then on only moved.
  drawTags(scene) {
    const tags = scene.marks.map((mark) => tagOf(mark, this.styleOf(mark), scene));
    placeTags(tags, scene.view.stage);
    const made = new Map();
    for (const tag of tags.filter((one) => one.at)) {
      const says = [
        tag.mark.id, tag.form.text, tag.form.width, tag.style.colour, tag.isSelected].join();
      const node = this.tags.get(says) ?? tagNode(tag);
      node.setAttribute("transform", `translate(${tag.at.left} ${tag.at.top})`);
      if (!node.parentNode) this.tagLayer.append(node);
      made.set(says, node);
    }
    for (const [says, node] of this.tags) if (!made.has(says)) node.remove();
    this.tags = made;
  }
}

// How far each layer reaches from the outline, in screen pixels; the innermost is drawn last.
const LAYERS = { edge: 1, colourFrom: 1.8, colourTo: 5.2, core: 6.2, casing: 7.2, band: 13.5 };
const CHOSEN = { light: 11, dark: 13.5 };

function line(path, reach, colour, extra = {}) {
  return svgNode("path", {
    d: path,
    fill: "none",
    stroke: colour,
    "stroke-width": 2 * reach,
    "stroke-linejoin": "round",
    "vector-effect": "non-scaling-stroke",
    ...extra,
  });
}

function strokes(path, style) {
  const dash = style.dash.length
    ? { "stroke-dasharray": style.dash.map((length) => length * LINE_WIDTH).join(" ") }
    : {};
  return [
    line(path, LAYERS.casing, DARK),
    line(path, LAYERS.core, LIGHT),
    line(path, LAYERS.colourTo, style.colour, dash),
    line(path, LAYERS.colourFrom, LIGHT),
    line(path, LAYERS.edge, DARK),
  ];
}

function isInSight(outline, view) {
  const box = boundsOf(outline);
  const [left, top] = view.toScreen([box.left, box.top]);
  const [right, bottom] = view.toScreen([box.right, box.bottom]);
  const reach = LAYERS.band;
  return right > -reach && bottom > -reach
    && left < view.stage.width + reach && top < view.stage.height + reach;
}

function markNode(mark, style, isSelected, path) {
  const around = isSelected
    ? [line(path, CHOSEN.dark, DARK), line(path, CHOSEN.light, LIGHT)]
    : [line(path, LAYERS.band, `url(#fill-${mark.risk ?? "none"})`)];
  const outside = `outside-${mark.id}`;
  return svgNode("g", { class: isSelected ? "mark selected" : "mark", "data-mark": mark.id },
    svgNode("clipPath", { id: outside },
      svgNode("path", { d: `M-1e5 -1e5H2e5V2e5H-1e5Z${path}`, "clip-rule": "evenodd" })),
    svgNode("g", { "clip-path": `url(#${outside})` }, ...around, ...strokes(path, style)));
}

// A proposed area: a dotted line in screen pixels, told from any mark by its dots and thin label.
function areaNodes(area, view) {
  const world = svgNode("g", {
    transform: `matrix(${view.scale} 0 0 ${view.scale} ${view.x} ${view.y})`,
    opacity: area.settled ? 0.6 : 1,
  });
  const path = pathOf(area.outline);
  const dots = { "stroke-dasharray": "1 8", "stroke-linecap": "round" };
  world.append(line(path, 3, DARK, dots), line(path, 1.9, LIGHT, dots));
  const box = boundsOf(area.outline);
  const [x, y] = view.toScreen([box.left, box.top]);
  const label = svgNode("text", {
    x: Math.min(Math.max(x, 4), view.stage.width - 30),
    y: Math.min(Math.max(y - 6, 14), view.stage.height - 6),
    class: "area-label",
  });
  label.textContent = area.label;
  return [world, label];
}

function fillPattern(risk, style) {
  const step = 9;
  const stripe = (d) => [
    svgNode("path", { d, stroke: LIGHT, "stroke-width": 3.4, "stroke-opacity": 0.7 }),
    svgNode("path", { d, stroke: style.colour, "stroke-width": 2 }),
  ];
  const falling = `M-4 -4L${step + 4} ${step + 4}M${step - 4} -4L${step + 4} 4`
    + `M-4 ${step - 4}L4 ${step + 4}`;
  const rising = `M-4 ${step + 4}L${step + 4} -4M-4 4L4 -4M${step - 4} ${step + 4}`
    + `L${step + 4} ${step - 4}`;
  const dot = (radius, fill) => svgNode("circle", { cx: step / 2, cy: step / 2, r: radius, fill });
  const drawn = {
    cross: () => [...stripe(falling), ...stripe(rising)],
    diagonal: () => stripe(rising),
    dots: () => [dot(3.2, LIGHT), dot(2.2, style.colour)],
  }[style.pattern]?.() ?? [];
  return svgNode("pattern", {
    id: `fill-${risk}`,
    width: step,
    height: step,
    patternUnits: "userSpaceOnUse",
  }, ...drawn);
}

function draftNodes({ draft, view }) {
  if (!draft) return [];
  const onScreen = (point) => view.toScreen(point).join(" ");
  if (draft.tool === "freehand") {
    return draft.points.length ? thinLine(`M${draft.points.map(onScreen).join("L")}`) : [];
  }
  if (draft.tool !== "polygon") {
    if (!draft.to) return [dotNode(view.toScreen(draft.from), 6)];
    const world = svgNode("g", {
      transform: `matrix(${view.scale} 0 0 ${view.scale} ${view.x} ${view.y})`,
    });
    world.append(...thinLine(pathOf(boxBetween(draft.tool, draft.from, draft.to))));
    return [world];
  }
  const points = draft.cursor ? [...draft.points, draft.cursor] : draft.points;
  if (!points.length) return [];
  const closable = draft.points.length >= 3;
  const path = `M${points.map(onScreen).join("L")}`;
  return [
    ...thinLine(path),
    ...points.map((p, i) => dotNode(view.toScreen(p), i === 0 && closable ? 11 : 6)),
  ];
}

function thinLine(path) {
  return [line(path, 3.2, DARK), line(path, 1.6, LIGHT)];
}

function dotNode([cx, cy], radius) {
  return svgNode("g", { class: "dot" },
    svgNode("circle", { cx, cy, r: radius, fill: LIGHT, stroke: DARK, "stroke-width": 2.5 }));
}

// Where corners lie close together, their grips are drawn small, so that they hide no line and no
// damage; a finger still reaches each from as far away as ever.
function handleNodes({ view, handles, activeHandle }) {
  const places = handles.map((handle) => view.toScreen([handle.x, handle.y]));
  const around = places.reduce(
    (sum, place, i) => sum + distance(place, places[(i + 1) % places.length]), 0);
  const half = Math.min(8, Math.max(3.5, around / (3.2 * handles.length)));
  return handles.map((handle, i) =>
    handleNode(places[i], handle, i === activeHandle, i === activeHandle ? 11 : half));
}

function handleNode([x, y], handle, isActive, half) {
  const look = {
    fill: isActive ? SIGN_YELLOW : LIGHT,
    stroke: DARK,
    "stroke-width": isActive ? 4 : Math.min(2.5, half / 2),
  };
  const isRound = handle.kind === "vertex" || handle.kind === "turn";
  const grip = isRound
    ? svgNode("circle", { cx: x, cy: y, r: half, ...look })
    : svgNode("rect", { x: x - half, y: y - half, width: 2 * half, height: 2 * half, ...look });
  const node = svgNode("g", { class: "handle", "data-kind": handle.kind }, grip);
  if (handle.kind === "turn") {
    node.append(svgNode("path", {
      d: `M${x - 4} ${y + 1}A4.2 4.2 0 1 1 ${x + 4} ${y + 1}l-2.5 -2`,
      fill: "none",
      stroke: DARK,
      "stroke-width": 1.8,
    }));
  }
  return node;
}

function cursorNodes({ cursor, view }) {
  if (!cursor) return [];
  const [x, y] = view.toScreen(cursor);
  const cross = `M${x - 22} ${y}H${x - 5}M${x + 5} ${y}H${x + 22}`
    + `M${x} ${y - 22}V${y - 5}M${x} ${y + 5}V${y + 22}`;
  return [
    svgNode("path", { d: cross, stroke: DARK, "stroke-width": 6, class: "cursor" }),
    svgNode("path", { d: cross, stroke: LIGHT, "stroke-width": 2.5 }),
  ];
}
