// Looks whether somebody else changed the case, and asks the page to show it. Only while a person
// is at this screen: a screen left alone must not keep its session in use.

const WATCH_MS = 2000;
const LEFT_ALONE_MS = 60_000;

class Watch {
  constructor(canvas) {
    this.canvas = canvas;
    this.usedAt = Date.now();
    this.asked = null;
    for (const act of ["pointerdown", "pointermove", "keydown", "wheel"]) {
      window.addEventListener(act, () => { this.usedAt = Date.now(); }, { passive: true });
    }
    this.timer = setInterval(() => this.look(), WATCH_MS);
  }

  get isQuiet() {
    const { canvas } = this;
    return document.hidden || !canvas.data?.watch || canvas.edit || canvas.hands.down.size
      || canvas.outbox.queue.length || Date.now() - this.usedAt > LEFT_ALONE_MS;
  }

  async look() {
    const { canvas } = this;
    if (!canvas.root.isConnected) {
      clearInterval(this.timer);
      return;
    }
    if (this.isQuiet) return;
    try {
      const answer = await fetch(canvas.data.watch, { credentials: "same-origin" });
      if (!answer.ok || this.isQuiet) return;
      const { revision } = await answer.json();
      if (revision === canvas.data.revision || revision === this.asked) return;
      this.asked = revision;
      canvas.setStateValue("look", revision);
    } catch {
      // No connection: the next look may have one, and nothing of ours is lost by it.
    }
  }
}
