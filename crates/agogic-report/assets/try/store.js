// What was typed, handed to the program on this machine as it is typed, so that a reload or another tab loses nothing.
// The browser itself keeps the name of the work only, never a keystroke.

const NAME = "work";

const ENDED = "The program does not answer: it has ended, or was stopped. Start agogic try again; what is still on this page can " +
  "be saved.";

async function ask(path, body, more = {}) {
  const post = { method: "POST", body: JSON.stringify(body), headers: { "content-type": "application/json" } };
  const reply = await fetch(path, body === undefined ? more : { ...post, ...more }).catch(() => { throw new Error(ENDED); });
  const data = await reply.json().catch(() => ({}));
  return { ok: reply.ok, status: reply.status, data };
}

// Asks, and says in words what went wrong.
export async function get(path, body) {
  const reply = await ask(path, body);
  if (!reply.ok) throw Object.assign(new Error(reply.data.refused || "The program refused."), { status: reply.status });
  return reply.data;
}

export class Store {
  constructor() {
    this.id = null;
    this.text = "";        // All that is settled.
    this.place = "";
    this.kept = 0;         // So much of it the program has.
    this.busy = null;
    this.lost = null;      // Why the program does not keep it, if it does not.
    this.forgotten = false;
  }

  // The work of this tab, if it has one.
  async resume() {
    const id = sessionStorage.getItem(NAME);
    return id ? this.take(id) : false;
  }

  async take(id) {
    try {
      const { log, place } = await get(`work/${id}`);
      Object.assign(this, { id, text: log, place, kept: log.length });
      sessionStorage.setItem(NAME, id);
      return true;
    } catch {
      sessionStorage.removeItem(NAME);
      return false;
    }
  }

  add(text, place) {
    this.text += text;
    this.place = place;
  }

  // Hands over what is new. One request at a time: the log grows only from its end.
  flush(leaving = false) {
    if (leaving) return this.send(true).catch(() => {});
    if (!this.busy) {
      this.busy = this.send(false).catch(error => { this.lost = error.message; }).finally(() => { this.busy = null; });
    }
    return this.busy;
  }

  // A name for the work, before anything is typed: a page that is left has no time to ask for one.
  async start() {
    if (this.id) return;
    this.id = (await get("work", {})).id;
    sessionStorage.setItem(NAME, this.id);
  }

  async send(leaving) {
    if (this.forgotten || this.kept === this.text.length && this.sentPlace === this.place) return;
    await this.start();
    // What is on its way already is not sent again by a page that is left.
    const from = leaving && this.flying ? this.flying : this.kept;
    const upTo = this.text.length, place = this.place;
    this.flying = upTo;
    const body = { from, log: this.text.slice(from, upTo), place };
    const { ok, status, data } = await ask(`work/${this.id}`, body, { keepalive: leaving })
      .finally(() => { this.flying = null; });
    if (ok) {
      this.kept = upTo;
      this.sentPlace = place;
      this.lost = null;
    } else if (status === 409) {
      // A second tab goes on with the same work: this one goes on with a piece of its own.
      this.id = null;
      this.kept = 0;
      if (!leaving) await this.send(false);
    } else if (status === 404) {
      this.forgotten = true;
      sessionStorage.removeItem(NAME);
      throw new Error("This was forgotten from another tab.");
    } else {
      throw new Error(data.refused || "The program does not keep it.");
    }
  }

  async all() {
    while (this.kept !== this.text.length && !this.lost && !this.forgotten) await this.flush();
    if (this.lost) throw new Error(this.lost);
  }

  async forget() {
    await get("forget", {});
    sessionStorage.removeItem(NAME);
    Object.assign(this, { id: null, text: "", place: "", kept: 0, lost: null, forgotten: false });
  }
}
