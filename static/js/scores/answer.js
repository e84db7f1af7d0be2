// Draws what the server answered for a row; text goes in as text, never as markup.

import { fill } from "./words.js";

function element(tag, text, className) {
  const made = document.createElement(tag);
  if (text) made.textContent = text;
  if (className) made.className = className;
  return made;
}

// A number, over the ruling of its stage where that is given: as the template tag "stage" draws it.
export function showRuled(place, number, ruled) {
  if (!ruled || !ruled.stage) return place.replaceChildren(number);
  const shown = element("span", "", "stage");
  shown.dataset.stage = ruled.stage;
  shown.append(element("b", ruled.stage === "few" ? `(${number})` : number));
  if (ruled.letter) {
    const letter = element("i", ruled.letter);
    letter.setAttribute("aria-hidden", "true");
    shown.append(" ", letter);
  }
  shown.append(element("span", ` , ${ruled.label}`, "spoken"));
  return place.replaceChildren(shown);
}

export function showDispute(place, dispute, words) {
  if (place.querySelector(`[data-dispute="${dispute.conflict_id}"]`)) return;
  const box = element("div", "", "score-dispute");
  box.dataset.dispute = dispute.conflict_id;
  box.append(element("p", words.conflict), side(dispute.kept, "kept", words), " ", side(dispute.lost, "lost", words));
  place.append(box);
}

function side({ words: said, who, when }, take, words) {
  const button = element("button", "", "button");
  button.type = "button";
  button.name = "take";
  button.value = take;
  button.append(element("span", said), " ", element("small", when ? fill(words.side, { who, when }) : who));
  return button;
}
