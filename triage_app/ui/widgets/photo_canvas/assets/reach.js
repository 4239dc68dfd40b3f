// Which hand holds the tablet: the tools and the form stand on its side. Kept on this device.

const HAND_KEPT = "underbody-hand";

class Reach {
  constructor(canvas) {
    this.canvas = canvas;
    this.set(this.kept());
  }

  kept() {
    try {
      return localStorage.getItem(HAND_KEPT) === "left" ? "left" : "right";
    } catch {
      return "right";
    }
  }

  get isLeft() {
    return this.hand === "left";
  }

  // The page's own columns follow by its style sheet, which reads this from the document.
  set(hand) {
    this.hand = hand;
    this.canvas.root.dataset.hand = hand;
    document.documentElement.dataset.ubHand = hand;
  }

  turn() {
    this.set(this.isLeft ? "right" : "left");
    try {
      localStorage.setItem(HAND_KEPT, this.hand);
    } catch {
      // Forbidden storage: it holds until the page is loaded again.
    }
    this.canvas.say(this.isLeft ? WORDS.leftHand : WORDS.rightHand);
    this.canvas.refresh();
  }
}
