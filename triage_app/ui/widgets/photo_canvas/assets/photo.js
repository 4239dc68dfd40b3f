// The picture itself: a preview at once, and the full photo on top of it once a person zooms in
// further than the preview is sharp. The browser asks for both by address, so no rerun sends them.

class PhotoLayer {
  constructor(holder, onTrouble, onShown) {
    this.preview = holder.querySelector(".preview");
    this.full = holder.querySelector(".full");
    this.onTrouble = onTrouble;
    this.onShown = onShown;
    this.isAsked = false;
    this.preview.addEventListener("load", onShown);
    this.preview.addEventListener("error", () => onTrouble(WORDS.photoFailed, () => this.again()));
    this.full.addEventListener("error", () => {
      this.isAsked = false;
      this.full.removeAttribute("src");
      onTrouble(WORDS.fullFailed);
    });
  }

  show(photo) {
    if (photo.preview === this.photo?.preview && photo.full === this.photo?.full) return;
    this.photo = photo;
    this.isAsked = false;
    this.full.hidden = true;
    this.full.removeAttribute("src");
    this.preview.src = photo.preview;
  }

  again() {
    this.preview.removeAttribute("src");
    this.preview.src = this.photo.preview;
  }

  // The best picture that is there, to be looked at more closely.
  get sharpest() {
    if (!this.full.hidden) return this.full;
    return this.isShown ? this.preview : null;
  }

  get isShown() {
    return this.preview.complete && this.preview.naturalWidth > 0;
  }

  place(view) {
    const transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
    for (const image of [this.preview, this.full]) {
      image.style.width = `${view.size.width}px`;
      image.style.height = `${view.size.height}px`;
      image.style.transform = transform;
    }
    const sharpTo = this.preview.naturalWidth / view.size.width;
    const isSoft = sharpTo < 1 && view.scale * devicePixelRatio > sharpTo * 1.02;
    if (isSoft && this.isShown && !this.isAsked) this.loadFull();
  }

  // Shown only when it is decoded, so that there is no blank moment in between.
  async loadFull() {
    this.isAsked = true;
    this.full.src = this.photo.full;
    try {
      await this.full.decode();
      this.full.hidden = false;
    } catch {
      // The error event has told the person already; an address changed meanwhile is no trouble.
    }
  }
}
