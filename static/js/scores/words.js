// The page's sentences, translated by the server.

export function readWords() {
  return JSON.parse(document.getElementById("score-words").textContent);
}

export function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/gu, (whole, name) => (name in values ? String(values[name]) : whole));
}
