// Finds names by their first letters. `fold` does what tracker/queries/names.py does to the names.

const JOINED = { ø: "o", æ: "ae", œ: "oe", đ: "d", ð: "d", ł: "l", ı: "i", þ: "th", ħ: "h", ŋ: "n", ß: "ss", ς: "σ" };

export function fold(text) {
  const plain = text.normalize("NFKD").toLowerCase().replace(/./gu, (sign) => JOINED[sign] ?? sign).normalize("NFKD");
  return plain.replace(/[\p{Mn}\p{Cf}\p{Lm}'’‘`´ʼ]/gu, "").replace(/[^\p{L}\p{N}\p{M}]+/gu, " ");
}

// Rows whose given or family name begins so; those still due come first.
export function find(rows, sought) {
  const start = ` ${fold(sought).trimStart()}`;
  if (start === " ") return [];
  // Said twice, a name is also found by family name and given name.
  const found = rows.filter((row) => ` ${row.letters} ${row.letters} `.includes(start));
  return [...found.filter((row) => row.status === "due"), ...found.filter((row) => row.status !== "due")];
}
