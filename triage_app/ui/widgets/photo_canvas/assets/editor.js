// What a person is doing on the photo: what is chosen, what is being changed, what is half drawn.
// Each finished gesture goes to ``hand``, which PhotoCanvas provides together with what is shown.

const KEY_SETTLE_MS = 600;

class Editor {
  constructor(size) {
    this.size = size;
    this.view = new View(size);
    this.stored = [];
    this.marks = [];
    this.selectedId = null;
    this.activeHandle = -1;
    this.edit = null;
    this.cursor = null;
    this.isByKeys = false;
    this.combine = null;
  }

  get chosen() {
    return this.marks.find((mark) => mark.id === this.selectedId) ?? null;
  }

  get shownMarks() {
    if (!this.edit) return this.marks;
    return this.marks.map((mark) =>
      (mark.id === this.edit.id ? { ...mark, outline: this.edit.outline } : mark));
  }

  get shownOutline() {
    return this.edit?.outline ?? this.chosen?.outline ?? null;
  }

  get handles() {
    if (this.tool !== "select" || !this.shownOutline) return [];
    return handlesOf(this.shownOutline, 1 / this.view.scale);
  }

  // --- choosing ---------------------------------------------------------------------------

  setTool(tool) {
    if (tool === this.tool) return;
    this.finishEdit();
    this.dropDraft();
    this.tool = tool;
    if (tool === "select") this.combine = null;
    else this.lastShape = tool;
    this.activeHandle = -1;
    this.keeper.write("tool", tool);
    this.say(WORDS.tool(WORDS.shapes[tool] ?? "Select"));
    this.refresh();
  }

  choose(id) {
    if (id === this.selectedId) return;
    this.finishEdit();
    this.combine = null;
    this.selectedId = id;
    this.activeHandle = -1;
    this.hand("select", { mark_id: id });
    this.say(this.chosen ? WORDS.chosen(this.nameOf(this.chosen)) : WORDS.nothingChosen);
  }

  nextGrip(direction) {
    const handles = this.handles;
    if (!handles.length) return;
    const start = this.activeHandle < 0 && direction < 0 ? 0 : this.activeHandle;
    this.activeHandle = (start + direction + handles.length) % handles.length;
    const handle = handles[this.activeHandle];
    this.say(WORDS.grip(handle, handles.filter((one) => one.kind === handle.kind).length));
    this.refresh();
  }

  // --- changing ---------------------------------------------------------------------------

  drawn(outline) {
    if (!isDrawable(outline)) {
      this.trouble(WORDS.tooSmall, { isPassing: true });
      return;
    }
    if (this.combine) {
      this.combined(outline);
      return;
    }
    const id = newId();
    this.selectedId = id;
    this.activeHandle = -1;
    this.hand("draw", {
      mark_id: id,
      outline: toStore(outline, this.size),
      same_finding_id: this.data.joins?.finding ?? null,
    });
    this.say(WORDS.drawn(WORDS.shapes[outline.shape]));
  }

  // The next shape is added to the chosen mark ("join") or taken out of it ("cut").
  beginCombine(how) {
    const mark = this.chosen;
    if (!mark || this.draft) return;
    this.finishEdit();
    this.setTool(this.lastShape ?? "freehand");
    this.combine = { how, id: mark.id };
    this.say(WORDS.hints[how](mark.number ?? WORDS.newTag));
    this.refresh();
  }

  // The server works out the sum or the difference, and answers with the mark.
  combined(outline) {
    const { how, id } = this.combine;
    const mark = this.marks.find((one) => one.id === id);
    this.setTool("select");
    if (!mark) return;
    this.hand("combine", {
      mark_id: id,
      how,
      outline: toStore(outline, this.size),
      base_revision: mark.revision,
      pieces: newId(),
    });
  }

  // A change under way: shown at once, handed over by finishEdit. It remembers the revision that
  // it started from, so that somebody else's change in between is noticed.
  editTo(outline) {
    const mark = this.chosen;
    if (!mark) return;
    this.edit ??= { id: mark.id, base: mark.revision, before: mark.outline };
    this.edit.outline = outline;
    this.paint();
  }

  editByKey(outline) {
    this.editTo(outline);
    clearTimeout(this.keyTimer);
    this.keyTimer = setTimeout(() => this.finishEdit(), KEY_SETTLE_MS);
  }

  finishEdit() {
    clearTimeout(this.keyTimer);
    const edit = this.edit;
    this.edit = null;
    if (!edit || isSameOutline(edit.outline, edit.before)) return;
    this.hand("reshape", {
      mark_id: edit.id,
      outline: toStore(edit.outline, this.size),
      base_revision: edit.base,
    });
    if (this.chosen) this.say(WORDS.reshaped(this.nameOf(this.chosen)));
  }

  dropEdit() {
    clearTimeout(this.keyTimer);
    this.edit = null;
  }

  removeChosen() {
    const mark = this.chosen;
    if (!mark) return;
    this.dropEdit();
    this.selectedId = null;
    this.activeHandle = -1;
    this.hand("delete", { mark_id: mark.id });
    this.say(WORDS.removed(this.nameOf(mark)));
  }

  addCorner(side) {
    const outline = this.shownOutline;
    if (!outline || outline.shape === "ellipse") return;
    this.finishEdit();
    const place = side ?? this.sideAfterActive(outline) ?? longestSide(outline);
    this.editTo(withPoint(outline, place.ring, place.index, place.foot ?? place.middle));
    this.finishEdit();
    this.activeHandle = this.handles.findIndex(
      (handle) => handle.ring === place.ring && handle.index === place.index + 1);
    this.refresh();
  }

  sideAfterActive(outline) {
    const handle = this.handles[this.activeHandle];
    if (!handle || !("index" in handle)) return null;
    const ring = handle.ring ?? 0;
    const [a, b] = sidesOf(outline.rings[ring])[handle.index];
    return { ring, index: handle.index, middle: midway(a, b) };
  }

  removeCorner() {
    const handle = this.handles[this.activeHandle];
    if (!handle || !["vertex", "corner"].includes(handle.kind)) return;
    const fewer = withoutPoint(this.shownOutline, handle.ring ?? 0, handle.index);
    if (!fewer) {
      this.trouble(WORDS.threeCorners, { isPassing: true });
      return;
    }
    this.editTo(fewer);
    this.finishEdit();
    this.activeHandle = -1;
    this.refresh();
  }

  undo() {
    if (this.draft) this.stepBack();
    else this.ask("undo", WORDS.undone);
  }

  redo() {
    if (!this.draft) this.ask("redo", WORDS.redone);
  }

  ask(kind, words) {
    this.finishEdit();
    if (!this.bar.may(kind)) return;
    this.hand(kind);
    this.say(words);
  }

  // --- the half-drawn shape ---------------------------------------------------------------

  setDraft(draft) {
    this.goOn();
    this.draft = draft;
    this.keepDraft();
    this.refresh();
  }

  // In the middle of a stroke too, so that a reload loses none of it.
  keepDraft() {
    this.keeper.write("draft", this.draft && withoutHover(this.draft));
  }

  addPoint(point) {
    const points = [...(this.draft?.points ?? []), point];
    this.setDraft({ tool: this.tool, points, cursor: null });
    this.say(WORDS.pointSet(points.length));
  }

  finishDraft() {
    const draft = this.draft;
    if (!draft) return;
    if (draft.tool === "freehand") {
      this.finishStroke(draft.points);
    } else if (draft.tool === "polygon") {
      if (new Set(draft.points.map(String)).size < 3) {
        this.trouble(WORDS.threeCorners, { isPassing: true });
        return;
      }
      this.setDraft(null);
      this.drawn({ shape: "polygon", rings: [draft.points] });
    } else if (draft.to) {
      this.setDraft(null);
      this.drawn(boxBetween(draft.tool, draft.from, draft.to));
    }
  }

  // With snapping on, each corner of the cleaned line goes to the edge beside it.
  finishStroke(line) {
    const slack = STROKE_SLACK / this.view.scale;
    const corners = cleanRing(line, slack).map((corner) => this.edges.snapped(corner));
    this.setDraft(null);
    if (corners.length < 3) this.trouble(WORDS.tooSmall, { isPassing: true });
    else this.drawn({ shape: "polygon", rings: [uncrossed(corners)] });
  }

  stepBack() {
    const points = this.draft?.points?.slice(0, -1) ?? [];
    this.setDraft(points.length ? { ...this.draft, points } : null);
  }

  dropDraft() {
    if (!this.draft) return;
    this.setDraft(null);
    this.say(WORDS.leftAsIs);
  }

  // One step back from whatever is going on.
  cancel() {
    this.hands.forget();
    if (this.draft) this.dropDraft();
    else if (this.combine) this.setTool("select");
    else if (this.edit) this.dropEdit();
    else if (this.activeHandle >= 0) this.activeHandle = -1;
    else if (this.selectedId) this.choose(null);
    this.refresh();
  }
}

function withoutHover(draft) {
  if (draft.points) return { ...draft, cursor: null };
  return { tool: draft.tool, from: draft.from, to: null };
}
