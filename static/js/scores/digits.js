// Reads whole numbers in any script.

// Decimal digits stand ten in a row, starting at a code point that ends in 0 or in 6.
function valueOf(sign) {
  const code = sign.codePointAt(0);
  const last = code % 16;
  const startsAtZero = /\p{Nd}/u.test(String.fromCodePoint(code - last));
  return last < 10 && startsAtZero ? last : last - 6;
}

// Number, null for an empty text, undefined for anything else.
export function readNumber(text) {
  const signs = [...text.trim()];
  if (signs.length === 0) return null;
  if (signs.length > 9 || !signs.every((sign) => /\p{Nd}/u.test(sign))) return undefined;
  return signs.reduce((number, sign) => number * 10 + valueOf(sign), 0);
}

// The same for a cell of a spreadsheet, which may write 33 as 33.0 or 33,0.
export function readCell(text) {
  return readNumber(text.replace(/[.,\u066B]0+$/u, ""));
}

export function hasLetter(text) {
  return /\p{L}/u.test(text);
}
