// Moves from box to box and row to row; a row that is left is saved.

export class Walk {
  constructor({ rows, save, told, words }) {
    Object.assign(this, { rows, save, told, words });
    this.byElement = new Map(rows.map((row) => [row.element, row]));
    this.inHand = null;
  }

  rowOf(node) {
    return this.byElement.get(node?.closest?.("tr[data-row]")) ?? null;
  }

  go(row, box = row.boxes.first) {
    box.focus();
  }

  on(row, box) {
    const boxes = row.shownBoxes;
    const at = boxes.indexOf(box);
    if (at + 1 < boxes.length && row.mark !== "absent") return this.go(row, boxes[at + 1]);
    // A finished sheet asks for its time at once, while it is in the hand.
    if (box === row.boxes.wrong && row.isFinished && row.askTime()) return this.go(row, row.boxes.seconds);
    return this.complete(row);
  }

  complete(row) {
    const next = this.nextDue(row);
    if (next) return this.go(next);
    this.save(row);
    if (!this.rows.some((one) => one.status === "due")) this.told(this.words.every_row);
    return undefined;
  }

  nextDue(row) {
    const at = this.rows.indexOf(row);
    const after = [...this.rows.slice(at + 1), ...this.rows.slice(0, at)];
    return after.find((one) => one.status === "due");
  }

  back(row, box) {
    const boxes = row.shownBoxes;
    const at = boxes.indexOf(box);
    if (at > 0) return this.go(row, boxes[at - 1]);
    const before = this.rows[this.rows.indexOf(row) - 1];
    return before && this.go(before, before.shownBoxes.at(-1));
  }

  vertically(row, box, by) {
    const other = this.rows[this.rows.indexOf(row) + by];
    if (!other) return;
    const name = Object.keys(row.boxes).find((one) => row.boxes[one] === box);
    const target = other.boxes[name];
    this.go(other, target && !target.closest("[hidden]") ? target : other.boxes.wrong);
  }

  absent(row) {
    row.setMark("absent");
    this.save(row);
    const next = this.nextDue(row);
    if (next) this.go(next);
  }

  stopped(row) {
    row.setMark(row.mark === "stopped" ? "" : "stopped");
  }

  reopen(row) {
    row.setMark("");
    this.save(row);
    this.go(row);
  }

  clear(row) {
    row.setMark("");
    row.setBoxes({});
    row.hush();
    this.save(row);
    this.go(row);
  }
}
