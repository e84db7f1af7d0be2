// The switch that hides a child's name for a projector. It holds for the page as it stands; links that stay with the
// child and buttons that come back here carry it on.
(() => {
  "use strict";

  const button = document.querySelector("[data-names-switch]");
  if (!button) return;
  const shownTitle = document.title;
  const hiddenTitle = shownTitle.replace(/^.*(?= · )/, button.dataset.standIn);

  function carry(hidden) {
    for (const link of document.querySelectorAll("[data-names-stay]")) {
      const address = new URL(link.href);
      if (hidden) address.searchParams.set("names", "off");
      else address.searchParams.delete("names");
      link.href = address.search;
    }
    for (const field of document.querySelectorAll("[data-names-field]")) field.value = hidden ? "off" : "";
  }

  function show(hidden) {
    document.documentElement.classList.toggle("names-hidden", hidden);
    for (const standIn of document.querySelectorAll(".name-stand-in")) standIn.hidden = !hidden;
    button.setAttribute("aria-pressed", String(hidden));
    document.title = hidden ? hiddenTitle : shownTitle;
    carry(hidden);
  }

  document.querySelector("[data-names-link]").hidden = true;
  button.hidden = false;
  button.addEventListener("click", () => show(button.getAttribute("aria-pressed") === "false"));
})();
