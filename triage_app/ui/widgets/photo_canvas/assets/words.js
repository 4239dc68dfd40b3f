// Every sentence and word that the canvas shows or speaks.

const WORDS = {
  hv: "HV",
  newTag: "new",
  hints: {
    select: "Tap a mark to choose it. Drag to move the photo.",
    chosen: "Drag the mark to move it, drag a grip to reshape it.",
    rectangle: "Drag from corner to corner, or tap two corners.",
    ellipse: "Drag around the damage, or tap two corners.",
    polygon: "Tap corner after corner; tap the first one to finish.",
    secondCorner: "Tap the opposite corner.",
    keys: " Keys: arrows move, Space sets a point, Enter finishes, Escape cancels.",
  },
  stored: "All marks stored",
  storing: "Storing…",
  waiting: (count) => `Not stored yet: ${count === 1 ? "1 change" : `${count} changes`}, kept in `
    + "this browser tab and sent again.",
  photoFailed: "The photo could not be loaded. Check the connection, or sign in again.",
  fullFailed: "The sharp photo could not be loaded; the preview is shown.",
  gone: "Somebody else took this mark off while you changed it.",
  tooSmall: "Too small to be a mark; draw around the damage.",
  threeCorners: "A polygon needs 3 corners or more.",
  leftAsIs: "The half-drawn shape was dropped.",
  markName: (mark, style) => [
    mark.number === null ? "New mark" : `Mark ${mark.number}`,
    mark.label,
    style.word ? `risk ${style.word}` : "",
    mark.hv ? "high voltage" : "",
  ].filter(Boolean).join(", "),
  chosen: (name) => `${name} chosen.`,
  nothingChosen: "No mark chosen.",
  drawn: (shape) => `${shape} drawn.`,
  nowStored: (name) => `Stored: ${name}.`,
  removed: (name) => `${name} taken off.`,
  reshaped: (name) => `${name} changed.`,
  pointSet: (count) => `Corner ${count} set.`,
  grip: (handle, count) => `${GRIP_NAMES[handle.kind]} ${handle.index + 1} of ${count}.`,
  zoom: (percent) => `Zoom ${percent} per cent.`,
  tool: (name) => `${name} tool.`,
  joins: (number) => `New marks belong to finding ${number}.`,
  undone: "Taking back…",
  redone: "Doing again…",
  shapes: { rectangle: "Rectangle", polygon: "Polygon", ellipse: "Ellipse" },
};

const GRIP_NAMES = {
  corner: "Corner",
  side: "Side",
  vertex: "Corner",
  "radius-x": "Radius",
  "radius-y": "Radius",
  turn: "Turn grip",
};
