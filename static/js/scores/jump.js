// Letters jump to a name. What was typed stands in the field "Find a name"; arrows walk between namesakes.

import { find } from "./names.js";
import { fill } from "./words.js";

export class Jump {
  constructor(rows, words, go) {
    Object.assign(this, { rows, words, go });
    this.field = document.getElementById("find");
    this.said = document.querySelector("[data-found]");
    this.found = [];
    this.at = 0;
    this.field.addEventListener("input", () => this.seek(this.field.value));
    this.field.addEventListener("keydown", (event) => this.keyInField(event));
  }

  get isOn() {
    return this.field.value !== "";
  }

  get hasSeveral() {
    return this.isOn && this.found.length > 1;
  }

  add(letters) {
    this.seek(this.field.value + letters);
    this.visit();
  }

  shorten() {
    this.seek([...this.field.value].slice(0, -1).join(""));
    this.visit();
  }

  clear() {
    this.seek("");
  }

  seek(text) {
    this.field.value = text;
    this.found = find(this.rows, text);
    this.at = 0;
    this.tell();
  }

  step(by) {
    this.at = (this.at + by + this.found.length) % this.found.length;
    this.tell();
    this.visit();
  }

  visit() {
    if (this.found.length) this.go(this.found[this.at]);
  }

  tell() {
    const count = this.found.length;
    const name = this.found[this.at]?.name ?? "";
    if (!this.isOn) this.said.textContent = "";
    else if (count === 0) this.said.textContent = fill(this.words.jump_none, { text: this.field.value });
    else if (count === 1) this.said.textContent = name;
    else this.said.textContent = fill(this.words.jump_more, { name, number: this.at + 1, count });
  }

  keyInField(event) {
    if (event.key === "Enter") {
      event.preventDefault();
      this.visit();
    } else if (event.key === "Escape") {
      this.clear();
    } else if (["ArrowDown", "ArrowUp"].includes(event.key) && this.hasSeveral) {
      event.preventDefault();
      this.step(event.key === "ArrowDown" ? 1 : -1);
    }
  }
}
