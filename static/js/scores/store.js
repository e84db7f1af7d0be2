// What was typed and is not saved yet, kept in this browser for this person only: ids and numbers, never names.
//
// One entry a row: {at, check, url, base, key, typed, tried, before, held, raw}
//   base    the version of the row that the typing began from
//   tried   it was put on the wire; the answer may have been lost
//   before  an earlier save of the row whose answer was never seen: it is sent again, with its own key, first
//   held    {field, sentence}: it can't be sent as it is; a person has to look at it
//   raw     the boxes as typed, to fill them again

const DAYS = 7;
const PREFIX = "doublerule.row.";

export class Store {
  constructor(user) {
    this.mine = `${PREFIX}${user}.`;
    this.memory = new Map();
    this.lasts = true;
    this.forgetOld();
  }

  read(key) {
    try {
      return JSON.parse(this.memory.get(key) ?? localStorage.getItem(key));
    } catch {
      return null;
    }
  }

  write(id, entry) {
    const key = this.mine + id;
    try {
      localStorage.setItem(key, JSON.stringify(entry));
      this.memory.delete(key);
    } catch {
      this.memory.set(key, JSON.stringify(entry));
      this.lasts = false;
    }
  }

  keys() {
    try {
      return [...new Set([...Object.keys(localStorage), ...this.memory.keys()])].filter((key) => key.startsWith(PREFIX));
    } catch {
      return [...this.memory.keys()];
    }
  }

  forgetOld() {
    for (const key of this.keys()) {
      const entry = this.read(key);
      if (!entry || Date.now() - entry.at > DAYS * 86_400_000) this.remove(key);
    }
  }

  remove(key) {
    this.memory.delete(key);
    try {
      localStorage.removeItem(key);
    } catch {
      // A browser that keeps nothing has nothing to remove.
    }
  }

  get(id) {
    return this.read(this.mine + id);
  }

  // [id, entry], oldest first.
  all() {
    const own = this.keys().filter((key) => key.startsWith(this.mine));
    const entries = own.map((key) => [key.slice(this.mine.length), this.read(key)]).filter(([, entry]) => entry);
    return entries.sort(([, one], [, other]) => one.at - other.at);
  }

  get size() {
    return this.all().length;
  }

  // `place` is {check, url, base}; the oldest base of the row is kept.
  put(id, { typed = null, raw, place, held = null }) {
    const old = this.get(id);
    const lost = old && old.tried && !old.held ? { key: old.key, base: old.base, typed: old.typed } : null;
    this.write(id, {
      ...place,
      base: old ? old.base : place.base,
      at: Date.now(),
      key: newKey(),
      typed,
      raw,
      held,
      tried: false,
      before: old?.before ?? lost,
    });
  }

  onTheWire(id, key) {
    const entry = this.get(id);
    if (entry?.key === key) this.write(id, { ...entry, tried: true });
  }

  // The save with this key was answered. What was typed meanwhile goes on from the version it made; after a conflict
  // from the old one, so that nobody's entry is written over unseen.
  answered(id, key, { version, conflict }) {
    const entry = this.get(id);
    if (entry?.key === key) this.remove(this.mine + id);
    else if (entry?.before?.key === key) this.write(id, { ...entry, before: null, base: conflict ? entry.base : version });
    else if (entry && !entry.before && !conflict) this.write(id, { ...entry, base: Math.max(entry.base, version) });
  }

  refused(id, key, held) {
    const entry = this.get(id);
    if (entry?.key === key) this.write(id, { ...entry, held });
    else if (entry?.before?.key === key) this.write(id, { ...entry, before: null });
  }

  drop(id) {
    this.remove(this.mine + id);
  }
}

function newKey() {
  // Without a safe context, as in a trial on the school's own net, browsers offer no randomUUID.
  if (crypto.randomUUID) return crypto.randomUUID();
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
