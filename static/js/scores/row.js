// One row of the grid: its boxes, what they say, and what the server answered.

import { readNumber } from "./digits.js";
import { showDispute, showRuled } from "./answer.js";
import { fill } from "./words.js";

const MARKS = ["absent", "stopped"];

export class Row {
  constructor(element, words) {
    this.element = element;
    this.words = words;
    this.id = element.dataset.row;
    this.letters = element.dataset.letters;
    this.name = element.querySelector(".name").textContent;
    this.firstField = element.dataset.first;
    this.holds = Number(element.dataset.holds) || null;
    this.omitted = element.dataset.omitted ? Number(element.dataset.omitted) : undefined;
    this.version = Number(element.dataset.version);
    const box = (name) => element.querySelector(`input[name="${name}-${this.id}"]`);
    this.boxes = { first: box("first"), wrong: box("wrong"), seconds: box("seconds") };
    this.mark = MARKS.includes(element.dataset.status) ? element.dataset.status : "";
    this.kept = this.keptAtFirst(box("was").value);
    this.queued = null;
  }

  part(name) {
    return this.element.querySelector(`[data-${name}]`);
  }

  keptAtFirst(was) {
    const [, first, wrong, seconds, mark] = was.split("|");
    return this.said({ first, wrong, seconds, mark }).typed;
  }

  get status() {
    if (this.mark) return this.mark;
    return this.boxes.first.value.trim() || this.boxes.wrong.value.trim() ? "done" : "due";
  }

  get shownBoxes() {
    return Object.values(this.boxes).filter((box) => box && !box.closest("[hidden]"));
  }

  get raw() {
    const text = (box) => box?.value.trim() ?? "";
    const { first, wrong, seconds } = this.boxes;
    return { first: text(first), wrong: text(wrong), seconds: text(seconds), mark: this.mark };
  }

  // {typed} when it can be sent, else {problem: {field, sentence, half}}.
  said({ first, wrong, seconds, mark } = this.raw) {
    if (mark === "absent") return { typed: { status: "absent" } };
    for (const [field, text] of [[this.firstField, first], ["wrong", wrong], ["seconds", seconds]]) {
      if (readNumber(text) === undefined) return { problem: this.noNumber(field, text) };
    }
    if (first === "" && wrong === "") return { typed: { status: mark || "due" } };
    const empty = first === "" ? this.firstField : wrong === "" ? "wrong" : "";
    if (empty) return { problem: { field: empty, sentence: this.words[`missing_${empty}`], half: true } };
    const typed = { status: mark || "done", [this.firstField]: readNumber(first), wrong: readNumber(wrong) };
    if (readNumber(seconds) !== null) typed.seconds = readNumber(seconds);
    if (this.omitted !== undefined && this.firstField === "correct") typed.omitted = this.omitted;
    return { typed };
  }

  noNumber(field, text) {
    return { field, sentence: fill(this.words.digits, { text }), half: false };
  }

  get isFinished() {
    const first = readNumber(this.boxes.first.value);
    const wrong = readNumber(this.boxes.wrong.value);
    if (this.firstField !== "correct" || !this.holds || !this.element.dataset.planned || this.mark) return false;
    return Number.isInteger(first) && Number.isInteger(wrong) && first + wrong >= this.holds && first <= this.holds;
  }

  setMark(mark) {
    this.mark = mark;
    if (mark === "absent") this.setBoxes({});
    this.hush();
    this.showMark();
  }

  setBoxes({ first = null, wrong = null, seconds = null }) {
    const text = (number) => (number === null || number === undefined ? "" : String(number));
    this.boxes.first.value = text(first);
    this.boxes.wrong.value = text(wrong);
    if (this.boxes.seconds) this.boxes.seconds.value = text(seconds);
  }

  restore({ first, wrong, seconds, mark }) {
    this.mark = mark;
    this.setBoxes({ first, wrong, seconds });
    if (seconds) this.askTime();
    this.showMark();
  }

  showMark() {
    const shown = this.part("mark");
    shown.hidden = !this.mark;
    shown.textContent = this.mark ? this.words[this.mark] : "";
    this.element.dataset.status = this.status;
    this.showState();
  }

  showState() {
    const asks = !this.part("say").hidden || this.part("dispute") !== null;
    this.element.dataset.state = asks ? "doubt" : this.part("kept").hidden ? this.status : "waiting";
    this.element.dataset.status = this.status;
  }

  // What was answered before is about other digits now.
  hush() {
    this.say("");
    this.showRates({ rate: "", accuracy: "", ruled: "" });
  }

  showRates(answer) {
    showRuled(this.part("rate"), answer.rate, answer.ruled === "rate" ? answer : null);
    showRuled(this.part("accuracy"), answer.accuracy, answer.ruled === "accuracy" ? answer : null);
  }

  say(sentence, { field = "", mayConfirm = false } = {}) {
    this.part("say").hidden = !sentence;
    this.part("say-text").textContent = sentence;
    this.part("confirm").hidden = !mayConfirm;
    const wrongBox = { [this.firstField]: this.boxes.first, wrong: this.boxes.wrong, seconds: this.boxes.seconds }[field];
    for (const box of Object.values(this.boxes)) {
      if (box && box === wrongBox) box.setAttribute("aria-invalid", "true");
      else box?.removeAttribute("aria-invalid");
    }
    if (field === "seconds") this.askTime();
    this.showState();
  }

  refuse({ field, sentence }) {
    const first = readNumber(this.boxes.first.value);
    const wrong = readNumber(this.boxes.wrong.value);
    // A pupil may write more digits than the sheet asks for.
    const mayConfirm = field === "wrong" && this.holds !== null && first <= this.holds && first + wrong > this.holds;
    this.say(sentence, { field, mayConfirm });
  }

  keep(sentence) {
    this.part("kept").hidden = !sentence;
    this.part("kept-text").textContent = sentence;
    this.showState();
  }

  askTime() {
    const label = this.part("time");
    if (label) label.hidden = false;
    return label !== null;
  }

  // The server's answer to a save. Boxes that were typed over meanwhile stay as they are.
  answered({ version, values, answer, dispute, state }) {
    const untouched = same(this.said().typed, this.queued) || same(this.said().typed, this.kept);
    this.version = Math.max(this.version, version);
    this.keepValues(values);
    if (dispute) showDispute(this.part("disputes"), dispute, this.words);
    if (state === "conflict" && untouched) this.takeValues(values);
    if (!same(this.said().typed, this.kept)) return this.showState();
    this.showRates(answer);
    this.say(answer.doubt?.sentence ?? "", { mayConfirm: Boolean(answer.doubt) });
    if (answer.doubt?.code === "finished-needs-time") this.askTime();
    return this.showState();
  }

  settled(said) {
    this.version = Math.max(this.version, said.version);
    this.keepValues(said.values);
    this.takeValues(said.values);
    this.showRates(said.answer);
    this.say(said.answer.doubt?.sentence ?? "", { mayConfirm: Boolean(said.answer.doubt) });
  }

  keepValues(values) {
    const mark = MARKS.includes(values.status) ? values.status : "";
    const raw = this.textOf(values);
    this.kept = this.said({ ...raw, mark }).typed;
  }

  textOf(values) {
    const text = (number) => (number === null || number === undefined ? "" : String(number));
    const planned = Number(this.element.dataset.planned) || null;
    const seconds = values.correct === null || values.seconds === planned ? "" : text(values.seconds);
    return { first: text(values[this.firstField]), wrong: text(values.wrong), seconds };
  }

  takeValues(values) {
    this.restore({ ...this.textOf(values), mark: MARKS.includes(values.status) ? values.status : "" });
  }
}

export function same(one, other) {
  if (!one || !other) return one === other;
  const names = ["status", "correct", "wrong", "reached", "seconds"];
  return names.every((name) => (one[name] ?? null) === (other[name] ?? null));
}
