// The keys of the grid. Enter walks boxes, then rows still due; letters jump; / and * mark.

import { hasLetter } from "./digits.js";

export class Keys {
  // `walk` moves the focus and saves; see walk.js.
  constructor({ form, walk, jump }) {
    Object.assign(this, { form, walk, jump });
    document.addEventListener("keydown", (event) => this.press(event));
    form.addEventListener("beforeinput", (event) => this.beforeInput(event));
    form.addEventListener("compositionend", (event) => this.composed(event));
  }

  press(event) {
    const box = event.target.closest?.("input.box");
    const altGr = event.getModifierState("AltGraph");
    if (event.isComposing || event.metaKey || ((event.ctrlKey || event.altKey) && !altGr)) return;
    if (!box && isTaken(event.target)) return;
    if (this.jumpKey(event) || (box && this.boxKey(event, this.walk.rowOf(box), box))) event.preventDefault();
  }

  // True when the key is used up.
  jumpKey(event) {
    const { key } = event;
    const { jump } = this;
    if (key.length <= 2 && [...key].length === 1 && hasLetter(key)) return done(jump.add(key));
    if (!jump.isOn) return false;
    if (key === "Escape") return done(jump.clear());
    if (key === "Backspace") return done(jump.shorten());
    if ([" ", "-", "'", "’"].includes(key)) return done(jump.add(key));
    if (jump.hasSeveral && key === "ArrowDown") return done(jump.step(1));
    if (jump.hasSeveral && key === "ArrowUp") return done(jump.step(-1));
    if (key !== "Shift") jump.clear();
    return false;
  }

  boxKey(event, row, box) {
    const { walk } = this;
    const { key } = event;
    if (key === "Enter") return done(event.shiftKey ? walk.back(row, box) : walk.on(row, box));
    if (key === "ArrowUp") return done(walk.vertically(row, box, -1));
    if (key === "ArrowDown") return done(walk.vertically(row, box, 1));
    if (key === "/") return done(walk.absent(row));
    if (key === "*") return done(walk.stopped(row));
    if (key === " ") return true;
    if (row.mark === "absent" && key === "Backspace") return done(walk.reopen(row));
    if (row.mark === "absent" && /^\p{Nd}$/u.test(key)) row.setMark("");
    return false;
  }

  // Letters that arrive without a key, as from a screen keyboard, jump too. Pasted ones stay and are spoken of.
  beforeInput(event) {
    if (event.inputType !== "insertText" || !event.data || !hasLetter(event.data)) return;
    event.preventDefault();
    this.jump.add(event.data);
  }

  composed(event) {
    const box = event.target;
    if (!hasLetter(event.data)) return;
    setTimeout(() => {
      box.value = box.value.replace(/[^\p{Nd}]/gu, "");
      this.jump.add(event.data);
    });
  }
}

function done() {
  return true;
}

function isTaken(target) {
  return target.closest?.("input, select, textarea, dialog, [contenteditable]") !== null;
}
