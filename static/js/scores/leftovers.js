// What was typed here for a check that was closed meanwhile is shown beside its row, and forgotten only on request.

import { guardLeaving } from "./leaving.js";
import { Store } from "./store.js";
import { fill, readWords } from "./words.js";

export function showLeftovers(form) {
  const words = readWords();
  const store = new Store(form.dataset.user);
  for (const [id, entry] of store.all()) {
    const row = form.querySelector(`[data-row="${id}"]`);
    if (!row) continue;
    const { first = "", wrong = "", seconds = "", mark = "" } = entry.raw ?? {};
    const text = [first, wrong, seconds, words[mark] ?? ""].filter(Boolean).join(", ");
    row.querySelector("[data-kept]").hidden = false;
    row.querySelector("[data-kept-text]").textContent = fill(words.forgotten, { text });
    row.querySelector("[data-kept]").after(forget(words, () => store.drop(id), row));
  }
  guardLeaving({ store, words, finish() {} });
}

function forget(words, drop, row) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button";
  button.textContent = words.forget;
  button.addEventListener("click", () => {
    drop();
    row.querySelector("[data-kept]").hidden = true;
    button.remove();
  });
  return button;
}
