// Snapping to strong edges, on request. The server finds the edges of a photo once; the picture of
// them is fetched when a person first asks, and looked up here without asking again.

const SNAP_REACH = 14;

class Edges {
  constructor(canvas) {
    this.canvas = canvas;
    this.isOn = false;
    this.map = null;
  }

  async turn(isOn) {
    this.isOn = isOn;
    this.canvas.say(isOn ? WORDS.snapOn : WORDS.snapOff);
    this.canvas.refresh();
    if (!isOn || this.map) return;
    try {
      this.map = await readMap(this.canvas.data.photo.edges);
    } catch {
      this.isOn = false;
      this.canvas.trouble(WORDS.edgesFailed, { isPassing: true });
    }
    this.canvas.refresh();
  }

  get isLoading() {
    return this.isOn && !this.map;
  }

  // The nearest strong edge within reach of a finger's width on the screen; else the point itself.
  snapped(point) {
    const { map, canvas } = this;
    if (!this.isOn || !map) return point;
    const across = map.width / canvas.size.width;
    const down = map.height / canvas.size.height;
    const [x, y] = [point[0] * across - 0.5, point[1] * down - 0.5];
    const reach = Math.min(60, (SNAP_REACH / canvas.view.scale) * across);
    const best = strongest(map, x, y, reach);
    return best ? [(best[0] + 0.5) / across, (best[1] + 0.5) / down] : point;
  }
}

function strongest(map, x, y, reach) {
  let best = null;
  let most = 0;
  const from = (value) => Math.max(0, Math.ceil(value - reach));
  const to = (value, full) => Math.min(full - 1, Math.floor(value + reach));
  for (let row = from(y); row <= to(y, map.height); row += 1) {
    for (let column = from(x); column <= to(x, map.width); column += 1) {
      const strength = map.strength[row * map.width + column];
      if (!strength) continue;
      const worth = strength / 255 - Math.hypot(column - x, row - y) / reach + 1;
      if (worth > most && Math.hypot(column - x, row - y) <= reach) {
        most = worth;
        best = [column, row];
      }
    }
  }
  return best;
}

async function readMap(url) {
  const picture = new Image();
  picture.src = url;
  await picture.decode();
  const sheet = document.createElement("canvas");
  const [width, height] = [picture.naturalWidth, picture.naturalHeight];
  Object.assign(sheet, { width, height });
  const pen = sheet.getContext("2d", { willReadFrequently: true });
  pen.drawImage(picture, 0, 0);
  const { data } = pen.getImageData(0, 0, width, height);
  const strength = new Uint8Array(width * height);
  for (let i = 0; i < strength.length; i += 1) strength[i] = data[4 * i];
  return { width, height, strength };
}
