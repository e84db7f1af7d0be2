// The buttons for the row in hand: beside the rows, or on a narrow screen under the row itself.

import { fill } from "./words.js";

const NARROW = matchMedia("(max-width: 55.99rem)");

export class Hand {
  constructor({ walk, words }) {
    Object.assign(this, { walk, words });
    this.place = document.querySelector("[data-hand-place]");
    this.buttons = document.querySelector("[data-hand]");
    // A press keeps the box in hand, and the keyboard of a phone open.
    this.buttons.addEventListener("pointerdown", (event) => event.preventDefault());
    this.buttons.addEventListener("click", (event) => this.press(event.target.closest("button")));
    NARROW.addEventListener("change", () => this.move());
  }

  hold(row) {
    if (this.walk.inHand) delete this.walk.inHand.element.dataset.hand;
    this.walk.inHand = row;
    row.element.dataset.hand = "";
    this.buttons.querySelector("[data-hand-name]").textContent = fill(this.words.in_hand, { name: row.name });
    this.move();
    this.show();
  }

  move() {
    const row = this.walk.inHand;
    if (!row) return;
    this.place.hidden = NARROW.matches;
    const target = NARROW.matches ? row.part("hand-here") : this.place;
    if (this.buttons.parentElement !== target) target.append(this.buttons);
  }

  show() {
    const { mark } = this.walk.inHand ?? {};
    for (const name of ["absent", "stopped"]) {
      this.buttons.querySelector(`[data-do="${name}"]`).setAttribute("aria-pressed", String(mark === name));
    }
  }

  press(button) {
    const row = this.walk.inHand;
    if (!button || !row) return;
    const what = button.dataset.do;
    if (what === "absent" && row.mark === "absent") this.walk.reopen(row);
    else this.walk[what](row);
    if (what === "stopped") this.walk.go(row);
    this.show();
  }

  has(node) {
    return this.buttons.contains(node);
  }
}
