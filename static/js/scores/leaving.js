// Asks before rows that are not saved yet are left behind.

import { fill } from "./words.js";

export function guardLeaving({ store, words, finish }) {
  const dialog = document.querySelector("[data-ask-sign-out]");
  const form = document.querySelector("[data-sign-out]");
  let mayGo = false;

  function isUnsent() {
    finish();
    return store.size > 0;
  }

  form?.addEventListener("submit", (event) => {
    if (mayGo || !isUnsent()) return;
    event.preventDefault();
    dialog.querySelector("[data-ask-count]").textContent = fill(words.rows_wait, { count: store.size });
    dialog.showModal();
  });
  dialog.querySelector("[data-stay]").addEventListener("click", () => dialog.close());
  dialog.querySelector("[data-go]").addEventListener("click", () => {
    mayGo = true;
    form.submit();
  });
  document.querySelector("[data-sign-in]").addEventListener("click", () => {
    mayGo = true;
  });
  addEventListener("beforeunload", (event) => {
    if (!mayGo && isUnsent()) event.preventDefault();
  });
  addEventListener("pageshow", () => {
    mayGo = false;
  });
}
