// Columns from a spreadsheet fill down from the box in hand. Nothing that was pasted is lost: what fits nowhere is said.

import { readCell } from "./digits.js";

// Lines of cells; the empty line that a spreadsheet adds at the end is none.
export function cellsOf(text) {
  const lines = text.replace(/\r\n?/gu, "\n").split("\n");
  while (lines.length > 1 && lines.at(-1).trim() === "") lines.pop();
  return lines.map((line) => line.split("\t").map((cell) => cell.trim().replace(/^"(.*)"$/u, "$1")));
}

export function isTable(text) {
  return /[\t\n\r]/u.test(text.trim());
}

// Fills the boxes and gives back {rows, over, wide}: rows touched, cells without a row, cells without a box.
export function fillDown(cells, { rows, from, box, showTimes }) {
  if (cells.some((line) => line.length > 2) || box === "seconds") showTimes();
  const names = ["first", "wrong", "seconds"];
  const start = names.indexOf(box);
  const left = rows.slice(rows.indexOf(from));
  const touched = left.slice(0, cells.length);
  const wide = [];
  touched.forEach((row, number) => {
    cells[number].forEach((cell, column) => {
      const target = row.boxes[names[start + column]];
      if (cell === "") return;
      if (!target) wide.push(cell);
      else fillOne(row, target, cell);
    });
  });
  const over = cells.slice(touched.length).flat().filter((cell) => cell !== "");
  return { rows: touched, over, wide };
}

function fillOne(row, target, cell) {
  if (cell === "/" || cell === "*") {
    row.setMark(cell === "/" ? "absent" : "stopped");
    return;
  }
  if (row.mark === "absent") row.setMark("");
  row.hush();
  const number = readCell(cell);
  target.value = Number.isInteger(number) ? String(number) : cell;
}
