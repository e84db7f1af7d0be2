// What stands beside the rows: how many are left, what waits, and what the connection does.

import { fill } from "./words.js";

const NOTICES = { offline: "offline", trouble: "trouble", "signed-out": "signed_out", "other-user": "other_user" };

export class Board {
  constructor({ rows, store, check, words }) {
    Object.assign(this, { rows, store, check, words });
    this.notice = document.querySelector("[data-notice]");
    this.savedHere = new Set();
    this.trouble = "";
  }

  place(name) {
    return document.querySelector(`[data-${name}]`);
  }

  // `left` as the server counts it holds only when nothing waits here.
  count(left = null) {
    const here = this.rows.filter((row) => row.status === "due").length;
    const shown = left !== null && this.store.size === 0 ? left : here;
    const place = this.place("left");
    if (place) place.textContent = String(shown);
    for (const status of ["absent", "stopped"]) {
      const number = this.rows.filter((row) => row.status === status).length;
      const line = document.querySelector(`[data-count="${status}"]`);
      line.hidden = number === 0;
      line.querySelector("b").textContent = String(number);
    }
    this.showWaiting();
  }

  showWaiting() {
    const waiting = this.place("waiting");
    const count = this.store.size;
    document.querySelector("form[data-scores]").dataset.unsent = String(count);
    waiting.hidden = count === 0 || (this.trouble === "" && !this.store.all().some(([, entry]) => entry.held));
    const text = fill(this.words.rows_wait, { count });
    if (waiting.textContent !== text) waiting.textContent = text;
  }

  saved() {
    const time = new Intl.DateTimeFormat(document.documentElement.lang, {
      hour: "2-digit",
      minute: "2-digit",
      hourCycle: "h23",
    });
    this.place("saved-at").textContent = fill(this.words.saved_at, { time: time.format(new Date()) });
  }

  // Read aloud only: a person who sees the row needs no second telling.
  speak(row, { rate, accuracy }) {
    const { name, mark } = row;
    const status = mark ? fill(this.words.row_marked, { name, status: this.words[mark] }) : "";
    const numbers = accuracy ? fill(this.words.row_answer, { name, rate, accuracy }) : "";
    this.place("spoken").textContent = [status, numbers, row.part("say-text").textContent].filter(Boolean).join(" ");
  }

  say(sentence, { signIn = false, doubt = true } = {}) {
    this.notice.hidden = !sentence;
    this.notice.classList.toggle("notice-doubt", doubt);
    const text = this.notice.querySelector("[data-notice-text]");
    if (text.textContent !== sentence) text.textContent = sentence;
    this.place("sign-in").hidden = !signIn;
    this.place("notice-ways").hidden = !signIn;
  }

  connection(state) {
    const before = this.trouble;
    this.trouble = state === "fine" ? "" : state;
    if (this.trouble) {
      const sentence = this.words[NOTICES[state]];
      const signIn = ["signed-out", "other-user"].includes(state);
      this.say(this.store.lasts ? sentence : `${sentence} ${this.words.no_storage}`, { signIn });
    } else if (before) {
      this.say(this.store.size === 0 ? this.words.back : "", { doubt: false });
    }
    this.showKept();
    this.showWaiting();
  }

  showKept() {
    for (const row of this.rows) {
      const entry = this.store.get(row.id);
      if (!entry || (entry.held && !entry.held.sentence)) row.keep("");
      else if (entry.held) row.keep(this.words.held);
      else row.keep(this.trouble ? this.words.waiting : "");
    }
  }
}
