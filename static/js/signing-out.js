// Rows typed on the score page may still wait in this browser: signing out from any other page asks first.
// The score page asks in its own dialog.

const form = document.querySelector("[data-sign-out]");

function waiting() {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(`doublerule.row.${form.dataset.user}.`)).length;
  } catch {
    return 0;
  }
}

if (form && !document.querySelector("[data-ask-sign-out]")) {
  form.addEventListener("submit", (event) => {
    if (waiting() && !confirm(form.dataset.unsent)) event.preventDefault();
  });
}
