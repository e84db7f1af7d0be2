// Sends what the store holds, one row after the other, again and again until it is answered.

const FIRST_WAIT = 2_000;
const LONGEST_WAIT = 60_000;
const PATIENCE = 15_000;
const LOOK_AGAIN = 10_000;

export class Sender {
  // `on` holds answered(id, answer), refused(id, held), and state(name).
  constructor({ store, user, session, gone, on }) {
    Object.assign(this, { store, user, session, gone, on });
    this.state = "fine";
    this.wait = FIRST_WAIT;
    this.running = null;
    this.timer = 0;
    addEventListener("online", () => this.retry());
    addEventListener("offline", () => this.store.size && this.become("offline"));
    addEventListener("focus", () => this.state !== "fine" && this.retry());
  }

  become(state) {
    this.state = state;
    this.on.state(state);
  }

  retry() {
    this.wait = FIRST_WAIT;
    return this.send();
  }

  // Gives back a promise that ends when everything that can be sent was sent.
  send() {
    clearTimeout(this.timer);
    this.running ??= this.sendAll().finally(() => {
      this.running = null;
    });
    return this.running;
  }

  next() {
    return this.store.all().find(([, entry]) => !entry.held || entry.before);
  }

  async sendAll() {
    if (!this.next()) return this.state === "fine" ? undefined : this.become("fine");
    if (["signed-out", "other-user"].includes(this.state) && !(await this.askWhoIsHere())) return this.later(LOOK_AGAIN);
    for (let found = this.next(); found; found = this.next()) {
      if (!(await this.sendOne(...found))) {
        this.later(this.wait);
        this.wait = Math.min(this.wait * 2, LONGEST_WAIT);
        return undefined;
      }
    }
    this.wait = FIRST_WAIT;
    return this.become("fine");
  }

  later(wait) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(), wait);
  }

  // Whether to go on with the next one.
  async sendOne(id, entry) {
    const part = entry.before ?? entry;
    this.store.onTheWire(id, part.key);
    let response = await this.post(entry.url, part);
    if (response?.status === 403 && (await this.askWhoIsHere())) response = await this.post(entry.url, part);
    if (!response) return this.stop(navigator.onLine ? "trouble" : "offline");
    return this.take(id, part.key, response);
  }

  async post(url, { key, base, typed }) {
    try {
      const response = await fetch(url, {
        method: "POST",
        redirect: "manual",
        signal: AbortSignal.timeout(PATIENCE),
        headers: { Accept: "application/json", "Content-Type": "application/json", "X-CSRFToken": token() },
        body: JSON.stringify({ user: this.user, key, base_version: base, typed }),
      });
      return { status: response.status, said: await readJson(response) };
    } catch {
      return null;
    }
  }

  take(id, key, { status, said }) {
    if (status === 200 && said && "version" in said) {
      this.store.answered(id, key, { version: said.version, conflict: said.state === "conflict" });
      this.on.answered(id, said);
      return true;
    }
    if (status === 401 || status === 0) return this.stop(said?.error === "other-user" ? "other-user" : "signed-out");
    if (status === 403 && ["signed-out", "other-user"].includes(this.state)) return false;
    // A page in place of an answer comes from something between here and the server.
    if (status === 200 || status === 429 || status >= 500 || status === 403) return this.stop("trouble");
    const held = { field: said?.field ?? "", sentence: said?.sentence ?? this.gone };
    this.store.refused(id, key, held);
    this.on.refused(id, held);
    return true;
  }

  stop(state) {
    this.become(state);
    return false;
  }

  // Fetches a token that fits the sign-in that holds now; false when it is nobody's or another person's.
  async askWhoIsHere() {
    try {
      const response = await fetch(this.session, { headers: { Accept: "application/json" } });
      const { user, csrf } = await response.json();
      for (const field of document.querySelectorAll("[name=csrfmiddlewaretoken]")) field.value = csrf;
      if (user === this.user) return true;
      this.become(user ? "other-user" : "signed-out");
    } catch {
      this.become(navigator.onLine ? "trouble" : "offline");
    }
    return false;
  }
}

export function token() {
  return document.querySelector("[name=csrfmiddlewaretoken]").value;
}

async function readJson(response) {
  try {
    return await response.json();
  } catch {
    return null;
  }
}
