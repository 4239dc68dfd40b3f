// Gestures that the page has not yet answered. They are numbered, kept in the tab's storage (so
// that a reload or a lost connection loses nothing) and laid over the marks that the page sends.

const BATCH = 200;
const FIRST_RETRY_MS = 3000;
const LAST_RETRY_MS = 60000;

class Outbox {
  constructor(keeper, post) {
    this.keeper = keeper;
    this.post = post;
    this.queue = keeper.read("queue", []);
    this.lastSeq = keeper.read("seq", 0);
    this.session = null;
    this.attempt = 0;
    this.sentUpTo = 0;
    this.waitMs = FIRST_RETRY_MS;
    this.timer = null;
    this.unanswered = 0;
    this.onSend = () => {};
  }

  // True when the same gestures had to be sent again: then they are waiting for something.
  get isLate() {
    return this.unanswered > 1;
  }

  add(kind, body) {
    this.lastSeq += 1;
    this.queue.push({ seq: this.lastSeq, kind, ...body });
    this.save();
    this.unanswered = 0;
    this.waitMs = FIRST_RETRY_MS;
    this.send();
  }

  // What the page answered: drops what it has seen, and sends again when it is a new session.
  // Returns the gestures that were answered just now.
  settle(session, ack) {
    const answered = this.queue.filter((gesture) => gesture.seq <= ack);
    this.queue = this.queue.filter((gesture) => gesture.seq > ack);
    this.lastSeq = Math.max(this.lastSeq, ack);
    if (answered.length) {
      this.waitMs = FIRST_RETRY_MS;
      this.unanswered = 0;
      this.save();
    }
    const isNewSession = session !== this.session;
    this.session = session;
    if (!this.queue.length) clearTimeout(this.timer);
    else if (isNewSession || this.queue.at(-1).seq > this.sentUpTo) this.send();
    return answered;
  }

  save() {
    this.keeper.write("queue", this.queue);
    this.keeper.write("seq", this.lastSeq);
  }

  // A later answer makes the next attempt unnecessary; no answer brings it about.
  send() {
    clearTimeout(this.timer);
    if (!this.queue.length || this.session === null) return;
    this.attempt += 1;
    this.unanswered += 1;
    const gestures = this.queue.slice(0, BATCH);
    this.sentUpTo = gestures.at(-1).seq;
    this.post({ session: this.session, attempt: this.attempt, gestures });
    this.timer = setTimeout(() => this.send(), this.waitMs);
    this.waitMs = Math.min(LAST_RETRY_MS, this.waitMs * 2);
    this.onSend();
  }

  stop() {
    clearTimeout(this.timer);
  }

  // The page's marks with the unanswered gestures laid over them. A mark's revision rises here as
  // it will in the store, so that two quick changes of one's own do not collide.
  overlay(stored, readOutline) {
    const marks = new Map(stored.map((mark) => [mark.id, mark]));
    for (const gesture of this.queue) {
      const known = marks.get(gesture.mark_id);
      if (gesture.kind === "draw" && !known) {
        marks.set(gesture.mark_id, pendingMark(gesture, readOutline));
      } else if (gesture.kind === "reshape" && known) {
        marks.set(known.id, {
          ...known,
          outline: readOutline(gesture.outline),
          revision: gesture.base_revision + 1,
        });
      } else if (gesture.kind === "combine" && known) {
        marks.set(known.id, { ...known, revision: gesture.base_revision + 1 });
      } else if (gesture.kind === "delete") {
        marks.delete(gesture.mark_id);
      }
    }
    return [...marks.values()];
  }
}

function pendingMark(gesture, readOutline) {
  return {
    id: gesture.mark_id,
    number: null,
    label: "",
    risk: null,
    hv: false,
    outline: readOutline(gesture.outline),
    revision: 1,
  };
}

// The tab's own storage, one entry per canvas. Where a browser forbids it, the page still works;
// then only a reload before the answer loses the last stroke.
class Keeper {
  constructor(scope) {
    this.name = `photo-canvas:${scope}`;
    try {
      this.kept = JSON.parse(sessionStorage.getItem(this.name)) ?? {};
    } catch {
      this.kept = {};
    }
  }

  read(field, otherwise) {
    return this.kept[field] ?? otherwise;
  }

  write(field, value) {
    this.kept[field] = value;
    try {
      sessionStorage.setItem(this.name, JSON.stringify(this.kept));
    } catch {
      // Storage full or forbidden: the queue in memory still stands.
    }
  }
}

// randomUUID exists only on secure pages; a shop's own network may be without TLS.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
