// The score grid: puts the parts together.

import { Board } from "./board.js";
import { hasLetter } from "./digits.js";
import { Hand } from "./hand.js";
import { Jump } from "./jump.js";
import { Keys } from "./keys.js";
import { guardLeaving } from "./leaving.js";
import { showLeftovers } from "./leftovers.js";
import { cellsOf, fillDown, isTable } from "./paste.js";
import { Row, same } from "./row.js";
import { Sender, token } from "./sender.js";
import { Store } from "./store.js";
import { Walk } from "./walk.js";
import { fill, readWords } from "./words.js";

class ScorePage {
  constructor(form) {
    this.form = form;
    this.words = readWords();
    this.check = form.dataset.check;
    this.rows = [...form.querySelectorAll("tr[data-row]")].map((element) => new Row(element, this.words));
    this.byId = new Map(this.rows.map((row) => [row.id, row]));
    this.store = new Store(form.dataset.user);
    this.board = new Board({ ...this, rows: this.rows });
    this.sender = this.makeSender();
    const save = (row) => this.save(row);
    const told = (sentence) => this.board.say(sentence, { doubt: false });
    this.walk = new Walk({ rows: this.rows, words: this.words, save, told });
    this.hand = new Hand(this);
    this.jump = new Jump(this.rows, this.words, (row) => this.walk.go(row));
    this.keys = new Keys(this);
    this.listen();
    this.showScripted();
    this.restore();
    guardLeaving({ store: this.store, words: this.words, finish: () => this.walk.inHand && this.save(this.walk.inHand) });
  }

  makeSender() {
    const { user, session } = this.form.dataset;
    return new Sender({
      store: this.store,
      user,
      session,
      gone: this.words.gone,
      on: {
        answered: (id, said) => this.answered(id, said),
        refused: (id, held) => this.refused(id, held),
        state: (state) => this.board.connection(state),
      },
    });
  }

  listen() {
    const { form } = this;
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("focusin", ({ target }) => this.entered(this.walk.rowOf(target), target));
    form.addEventListener("mouseup", (event) => this.released(event));
    document.addEventListener("focusout", (event) => this.left(event));
    form.addEventListener("input", (event) => this.typed(event));
    form.addEventListener("paste", (event) => this.pasted(event));
    form.addEventListener("click", (event) => this.clicked(event));
    document.querySelector("[data-times-button]").addEventListener("click", (event) => this.switchTimes(event));
    document.querySelector("[data-close]")?.addEventListener("click", (event) => this.close(event));
    addEventListener("storage", () => this.board.count());
  }

  showScripted() {
    for (const place of document.querySelectorAll("[data-find], [data-keys]")) place.hidden = false;
    this.form.querySelector("[data-plain]").hidden = true;
    // Without scripts a button sends all rows; here it speaks for its row alone.
    for (const button of this.form.querySelectorAll("tbody button")) button.type = "button";
  }

  // Rows that were typed here before and not saved stand in their boxes again, and are sent.
  restore() {
    for (const [id, entry] of this.store.all()) {
      const row = this.byId.get(id);
      if (!row) continue;
      if (entry.raw) row.restore(entry.raw);
      row.hush();
      row.queued = entry.typed;
      if (entry.held?.sentence) row.refuse(entry.held);
    }
    this.board.count();
    this.board.showKept();
    this.sender.send();
  }

  // A box that is entered is ready to be typed over, however one came there.
  entered(row, target) {
    if (row && row !== this.walk.inHand) this.hand.hold(row);
    if (!target.matches(".box")) return;
    target.select();
    this.fresh = target;
  }

  released(event) {
    if (event.target === this.fresh) event.preventDefault();
    this.fresh = null;
  }

  left({ target, relatedTarget }) {
    const row = this.walk.rowOf(target) ?? (this.hand.has(target) ? this.walk.inHand : null);
    if (!row || this.hand.has(relatedTarget) || row === this.walk.rowOf(relatedTarget)) return;
    this.save(row, { speaks: document.hasFocus() });
  }

  typed({ target }) {
    const row = this.walk.rowOf(target);
    if (!row || !target.matches(".box")) return;
    if (row.mark === "absent") row.setMark("");
    row.hush();
    if (hasLetter(target.value)) row.say(row.noNumber("", target.value).sentence, { field: this.fieldOf(row, target) });
    this.board.count();
  }

  fieldOf(row, box) {
    return { [row.boxes.first.name]: row.firstField, [row.boxes.wrong.name]: "wrong" }[box.name] ?? "seconds";
  }

  save(row, { confirmed = false, speaks = true } = {}) {
    const { typed, problem } = row.said();
    const place = { check: this.check, url: this.form.dataset.save.replace("ROW", row.id), base: row.version };
    if (problem) this.hold(row, problem, { place, speaks });
    else if (confirmed || this.isNew(row, typed)) {
      row.queued = typed;
      this.store.put(row.id, { typed: confirmed ? { ...typed, confirmed } : typed, raw: row.raw, place });
      row.keep(this.board.trouble ? this.words.waiting : "");
      this.sender.send();
    }
    this.board.count();
    this.hand.show();
  }

  isNew(row, typed) {
    const waiting = this.store.get(row.id);
    if (!waiting) return !same(row.kept, typed);
    const isTakenBack = waiting.held && !waiting.before && same(row.kept, typed);
    if (!isTakenBack) return !same(waiting.typed, typed);
    this.store.drop(row.id);
    row.keep("");
    return false;
  }

  hold(row, { field, sentence, half }, { place, speaks }) {
    const { raw } = row;
    // Words stay on the page only: they might be names.
    if (!hasLetter(Object.values({ ...raw, mark: "" }).join(""))) {
      this.store.put(row.id, { raw, place, held: { field, sentence: half && !speaks ? "" : sentence } });
    }
    if (speaks) row.refuse({ field, sentence });
  }

  answered(id, said) {
    const row = this.byId.get(id);
    this.board.saved();
    if (row) {
      row.answered(said);
      this.board.speak(row, said.answer);
      if (!this.store.get(id)) row.keep("");
    }
    this.board.count(said.left);
  }

  refused(id, held) {
    const row = this.byId.get(id);
    row?.refuse(held);
    row?.keep(this.words.held);
    this.board.count();
  }

  pasted(event) {
    const row = this.walk.rowOf(event.target);
    const text = event.clipboardData.getData("text/plain");
    if (!row || !isTable(text)) return;
    event.preventDefault();
    const box = Object.keys(row.boxes).find((name) => row.boxes[name] === event.target);
    const showTimes = () => this.setTimes(true);
    const { rows, over, wide } = fillDown(cellsOf(text), { rows: this.rows, from: row, box, showTimes });
    for (const one of rows) this.save(one, { speaks: !one.said().problem?.half });
    const said = [fill(this.words.pasted, { count: rows.length })];
    if (over.length) said.push(fill(this.words.too_many, { text: over.join(" ") }));
    if (wide.length) said.push(fill(this.words.too_wide, { text: wide.join(" ") }));
    this.board.say(said.join(" "), { doubt: said.length > 1 });
  }

  clicked(event) {
    const button = event.target.closest("button");
    const row = this.walk.rowOf(button);
    if (!row) return;
    if (button.matches("[data-confirm]")) this.save(row, { confirmed: true });
    else if (button.name === "take") this.settle(row, button);
  }

  async settle(row, button, { again = false } = {}) {
    const box = button.closest("[data-dispute]");
    const url = this.form.dataset.settle.replace("CONFLICT", box.dataset.dispute);
    const body = new URLSearchParams({ take: button.value });
    const headers = { Accept: "application/json", "X-CSRFToken": token() };
    try {
      const response = await fetch(url, { method: "POST", body, headers });
      const said = await response.json();
      if (response.ok) {
        box.remove();
        row.settled(said);
      } else if (said.sentence) {
        box.remove();
        row.say(said.sentence);
      } else if (await this.sender.askWhoIsHere()) {
        if (again) this.board.say(this.words.trouble);
        else await this.settle(row, button, { again: true });
      }
    } catch {
      this.board.say(this.words.trouble);
    }
    this.board.count();
  }

  switchTimes(event) {
    event.preventDefault();
    this.setTimes(!this.form.querySelector("table").hasAttribute("data-times"));
  }

  setTimes(shown) {
    this.form.querySelector("table").toggleAttribute("data-times", shown);
    document.querySelector("[data-times-button]").setAttribute("aria-pressed", String(shown));
    for (const row of this.rows) {
      const label = row.part("time");
      if (label) label.hidden = !shown && !row.boxes.seconds.value;
    }
  }

  // Rows that are due are asked about by the server, once; rows that are not saved yet keep the check open.
  async close(event) {
    event.preventDefault();
    if (this.walk.inHand) this.save(this.walk.inHand);
    await this.sender.send();
    const unsent = this.store.all().find(([, entry]) => entry.check === this.check);
    if (!unsent) return document.getElementById("close-now").submit();
    this.board.say(this.words.unsent_before_close);
    return this.byId.has(unsent[0]) && this.walk.go(this.byId.get(unsent[0]));
  }
}

const form = document.querySelector("form[data-scores]");
if (form?.dataset.open === "yes") new ScorePage(form);
else if (form) showLeftovers(form);
