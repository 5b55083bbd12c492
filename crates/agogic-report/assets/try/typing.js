// Typing: the tasks one after the other, what was seen as rows, what is still needed.

import { at, show, svg } from "./dom.js";

const HEADER = "session,participant,t_us,code,edge,intent,target\n";
const ends = /^(Numpad)?Enter$/;
// How long an item takes somebody who has not begun yet, in seconds: assumed, until the person shows it.
const usualSeconds = { text: 10, hold: 3, shortcut: 3, free: 60 };

const titles = { text: "Type the phrase", hold: "Hold a key", shortcut: "Press the shortcut", free: "Type freely" };
const hows = {
  text: "As you usually would, with its capitals if it has some; then press Enter. Mistakes may stay or be mended.",
  hold: "As if the first key were a Control key: hold it, press the second key, and let go. At your usual pace.",
  shortcut: "As you would in any program. Nothing will happen to your text.",
};

export class Typing {
  constructor(plan, store, done) {
    Object.assign(this, { plan, store, done });
    this.keyboard = recording.keyboard();
    this.field = at("field");
    this.down = new Map();
    this.rows = [];          // Seen, not yet settled: [session, ms, code, edge, intent, target].
    this.zero = null;
    this.running = false;
    this.attempt = null;
    this.unseen = 0;
    this.pace = { text: [], hold: [], shortcut: [], free: [] };
    this.tasks = this.made();
    this.task = 0;
    this.item = 0;
    this.stretch = 1;
    this.round = 1;
    this.counts = { presses: 0, dual: 0, targeted: 0 };
    this.listen();
  }

  made() {
    const { keyboard } = this;
    const ready = {
      text: item => item,
      free: item => item,
      shortcut: ({ code }) => ({ kind: "shortcut", show: () => "Control", target: code, key: () => keyboard.keyOf(code),
        holds: event => /^Control/.test(event.code), targets: event => keyboard.gave(event, code) }),
      hold: ({ key, target }) => ({ kind: "hold", show: () => keyboard.shown(key), hold: key, target,
        key: () => target, holds: event => keyboard.is(event, key), targets: event => keyboard.is(event, target) }),
    };
    return this.plan.tasks.filter(task => task.items.length)
      .map(task => ({ ...task, items: task.items.map(item => ready[item.kind](item)) }));
  }

  kind() { return this.now().kind; }

  prompts() { return this.kind() === "hold" || this.kind() === "shortcut"; }

  // Goes on where a piece of work was left, in a new stretch: no interval is taken across.
  restore() {
    this.finished = Boolean(JSON.parse(this.store.place || "{}").finished);
    const place = JSON.parse(this.store.place || "{}");
    this.task = Math.min(place.task || 0, this.tasks.length - 1);
    this.item = Math.min(place.item || 0, this.tasks[this.task].items.length - 1);
    this.stretch = (place.stretch || 1) + 1;
    this.round = place.round || 1;
    this.whole = Boolean(place.whole);
    this.recount();
  }

  // Goes through the tasks once more.
  again() {
    this.round += 1;
    [this.task, this.item, this.stretch, this.whole] = [0, 0, 1, false];
  }

  recount() {
    const dual = new Set(this.plan.dual);
    this.counts = { presses: 0, dual: 0, targeted: 0 };
    for (const line of this.store.text.split("\n")) {
      const [, , , code, edge, intent, target] = line.split(",");
      if (edge === "press") this.count(code, intent, target, dual);
    }
  }

  count(code, intent, target, dual = new Set(this.plan.dual)) {
    this.counts.presses += 1;
    if (intent !== "hold") return;
    if (dual.has(code)) this.counts.dual += 1;
    if (target) this.counts.targeted += 1;
  }

  begin(first) {
    if (this.whole) this.again();
    this.finished = false;
    show("work", false);
    this.store.start().catch(error => { this.store.lost = error.message; });
    this.pause(false);
    this.present(first);
    clearInterval(this.ticks);
    this.ticks = setInterval(() => this.tick(), 1000);
  }

  session() {
    const round = this.round > 1 ? `${this.round}:` : "";
    return round + this.tasks[this.task].name + (this.stretch > 1 ? `/${this.stretch}` : "");
  }

  now() { return this.tasks[this.task].items[this.item]; }

  present(first) {
    const all = this.tasks.reduce((sum, own) => sum + own.items.length, 0);
    at("progress").max = all;
    at("progress").value = this.past();
    const { kind, text, minutes } = this.now();
    at("task-head").textContent = titles[kind];
    at("how").textContent = hows[kind] || `About anything that is not private, for about ${minutes} ` +
      `${minutes === 1 ? "minute" : "minutes"}; then choose Next. The text will be in the log.`;
    at("hint").textContent = "";
    at("where-keys").textContent = "";
    this.field.value = "";
    this.attempt = null;
    this.since = performance.now();
    // Each task is a session of its own, and what is typed is one from what is held: to read a prompt is no pause in typing.
    if (first) this.stretch = 1;
    else if (this.before && this.before !== kind) this.stretch += 1;
    this.before = kind;
    at("board").hidden = !this.prompts();
    if (this.prompts()) {
      const { show, hold, target, key } = this.now();
      const { shown } = this.keyboard;
      at("prompt").textContent = target ? `Hold ${show()} and press ${shown(key())}`
        : `Hold ${show()} alone, and let go`;
      const keys = [hold, target && key()].filter(code => code && recording.place(code));
      at("where-keys").textContent = keys.map(code => `${shown(code)}: ${recording.place(code)}.`).join(" ");
      at("board").replaceChildren(this.board(hold, target && key()));
      this.attempt = recording.attempt(this.now());
    } else {
      at("prompt").textContent = text;
    }
    at("next").textContent = kind === "free" ? "Next" : "Skip";
    this.tell();
    this.field.focus();
  }

  past() { return this.tasks.slice(0, this.task).reduce((sum, own) => sum + own.items.length, 0) + this.item; }

  // The keys of this keyboard as they lie, with the one to hold and the one to press.
  board(hold, press) {
    const [unit, pad] = [40, 2];
    const right = Math.max(...this.plan.board.map(([, x]) => x));
    const bottom = Math.max(...this.plan.board.map(([, , y]) => -y));
    const left = Math.min(...this.plan.board.map(([, x]) => x));
    const top = Math.min(...this.plan.board.map(([, , y]) => -y));
    const keys = this.plan.board.map(([code, x, y]) => {
      const [px, py] = [(x - left) * unit + pad, (-y - top) * unit + pad];
      const label = this.keyboard.shown(code);
      return svg("g", { class: code === hold ? "hold" : code === press ? "press" : null },
        svg("rect", { x: px, y: py, width: unit - 4, height: unit - 4, rx: 5 }),
        svg("text", { x: px + unit / 2 - 2, y: py + unit / 2 + 3, "text-anchor": "middle" },
          label === "the space bar" ? "" : label));
    });
    const size = `0 0 ${(right - left + 1) * unit} ${(bottom - top + 1) * unit}`;
    return svg("svg", { viewBox: size, "aria-hidden": "true", focusable: "false" }, keys);
  }

  advance() {
    const kind = this.kind();
    // What was done as asked has its meaning.
    this.attempt = null;
    this.pace[kind].push((performance.now() - this.since) / 1000);
    this.item += 1;
    const first = this.item >= this.tasks[this.task].items.length;
    if (first) { this.item = 0; this.task += 1; this.before = null; }
    const finished = this.task >= this.tasks.length;
    if (finished) {
      this.task = this.tasks.length - 1;
      this.item = this.tasks[this.task].items.length - 1;
      this.whole = true;
    }
    if (finished) { this.finish(); return; }
    this.settle();
    this.present(first);
  }

  skip(whole) {
    this.abandon();
    this.down.clear();
    this.stretch += 1;
    if (whole) this.item = this.tasks[this.task].items.length - 1;
    this.advance();
  }

  // What is broken off was not done as asked.
  abandon() {
    if (this.attempt && this.attempt.begun()) this.attempt.abandon();
    if (this.attempt) this.attempt = recording.attempt(this.now());
  }

  isDown(pattern) { return [...this.down.keys()].some(code => pattern.test(code)); }

  intent(event, row) {
    if (this.prompts()) {
      this.attempt.press(row, event, code => this.down.has(code));
    } else if (this.kind() === "text") {
      if (/^Shift/.test(event.code)) {
        row[4] = "hold";
      } else if (recording.writes(event.code) && !this.isDown(/^(Control|Alt|Meta)/)) {
        row[4] = "tap";
        for (const [held, press] of this.down) if (/^Shift/.test(held) && !press[5]) press[5] = event.code;
      }
    }
  }

  listen() {
    const { field } = this;
    field.addEventListener("keydown", event => {
      if (!this.running || event.code === "Tab") return;
      if (event.code === "Escape") { event.preventDefault(); this.pause(true); return; }
      const gesture = this.prompts();
      if (gesture || ends.test(event.code) && this.kind() === "text") event.preventDefault();
      if (event.repeat || this.down.has(event.code)) return;
      if (!recording.hasCode(event)) { this.unseen += 1; this.tell(); return; }
      if (!gesture) this.keyboard.learn(event);
      const row = [this.session(), recording.when(event), event.code, "press", "", ""];
      this.intent(event, row);
      this.rows.push(row);
      this.down.set(event.code, row);
    });
    field.addEventListener("keyup", event => {
      if (!this.running || !this.down.has(event.code)) return;
      this.rows.push([this.down.get(event.code)[0], recording.when(event), event.code, "release", "", ""]);
      this.down.delete(event.code);
      // The prompt changes when Enter is let go, so that its release is part of the item it ends.
      if (this.kind() === "text" && ends.test(event.code) && field.value.trim()) { this.advance(); return; }
      if (!this.prompts() || this.down.size || !this.attempt.begun()) return;
      if (this.attempt.end()) { this.advance(); return; }
      this.attempt = recording.attempt(this.now());
      const { target, show, key } = this.now();
      at("hint").textContent = target
        ? `Not yet: hold ${show()}, press ${this.keyboard.shown(key())} while it is down, and let go. Or choose Skip.`
        : `Not yet: hold ${show()} alone, and let go. Or choose Skip.`;
    });
    for (const kind of ["paste", "drop"]) field.addEventListener(kind, event => event.preventDefault());
    // Keys that go up elsewhere are not seen; what follows is another stretch.
    field.addEventListener("blur", () => {
      if (!this.running) return;
      this.abandon();
      this.down.clear();
      this.stretch += 1;
    });
    at("next").addEventListener("click", () => this.skip(false));
    at("skip-task").addEventListener("click", () => this.skip(true));
    at("pause").addEventListener("click", () => this.pause(this.running));
    at("stop").addEventListener("click", () => this.finish());
    addEventListener("pagehide", () => { this.abandon(); this.settle(true); });
    addEventListener("visibilitychange", () => { if (document.hidden && this.running) this.settle(); });
  }

  pause(yes) {
    this.running = !yes;
    if (yes) { this.abandon(); this.down.clear(); this.stretch += 1; this.settle(); }
    this.field.disabled = yes;
    for (const id of ["next", "skip-task"]) at(id).disabled = yes;
    at("pause").setAttribute("aria-pressed", String(yes));
    at("pause").textContent = yes ? "Go on" : "Pause";
    at("hint").textContent = yes ? "Paused. Nothing is recorded." : "";
    this.since = performance.now();
    if (yes) at("pause").focus(); else this.field.focus();
  }

  // Hands over the rows whose meaning cannot change any more.
  settle(leaving = false) {
    const open = new Set(this.attempt && this.attempt.begun() ? this.attempt.rows() : []);
    for (const row of this.down.values()) open.add(row);
    let count = this.finished || leaving ? this.rows.length : this.rows.findIndex(row => open.has(row));
    if (count < 0) count = this.rows.length;
    const settled = this.rows.splice(0, count);
    let text = settled.length && !this.store.text ? HEADER : "";
    for (const [session, ms, code, edge, intent, target] of settled) {
      if (this.zero === null) this.zero = ms;
      const us = Math.max(0, Math.round((ms - this.zero) * 1000));
      text += `${session},me,${us},${code},${edge},${intent},${target}\n`;
      if (edge === "press") this.count(code, intent, target);
    }
    const { task, item, stretch, round, whole, finished, counts: { presses } } = this;
    const place = { task, item, stretch, round, whole, finished, presses };
    this.store.add(text, JSON.stringify(place));
    if (this.store.text) this.store.flush(leaving);
  }

  tick() {
    if (at("work").hidden) return;
    if (this.running) this.settle();
    this.tell();
    if (this.store.lost) at("hint").textContent = `Not kept by the program: ${this.store.lost}`;
  }

  // What is still needed before anything can be said.
  lacks() {
    const [presses, holds] = this.plan.least;
    const seen = Math.max(this.counts.dual, this.counts.targeted);
    return [Math.max(0, presses - this.counts.presses), Math.max(0, holds - seen)];
  }

  tell() {
    const seconds = kind => {
      const own = this.pace[kind];
      return own.length > 2 ? own.reduce((sum, s) => sum + s, 0) / own.length : usualSeconds[kind];
    };
    const left = this.tasks.reduce((sum, task, place) => {
      const from = place < this.task ? task.items.length : place === this.task ? this.item : 0;
      return task.items.slice(from).reduce((more, item) => more + seconds(item.kind), sum);
    }, 0);
    const minutes = Math.max(1, Math.round(left / 60));
    at("where").textContent = `${this.past() + 1} of ${at("progress").max}; ` +
      `about ${minutes} ${minutes === 1 ? "minute" : "minutes"} left` +
      (this.unseen ? `; ${this.unseen} presses came without a key code and are not recorded` : "");
    const [presses, holds] = this.lacks();
    const more = [presses && `${presses} more ${presses === 1 ? "press" : "presses"}`,
      holds && `${holds} more ${holds === 1 ? "hold" : "holds"}`].filter(Boolean);
    at("needs").textContent = more.length ? `Before anything can be said: ${more.join(" and ")}`
      : "Enough to say something. More makes it surer.";
  }

  finish() {
    this.abandon();
    [this.running, this.finished] = [false, true];
    this.down.clear();
    clearInterval(this.ticks);
    this.stretch += 1;
    this.settle();
    this.done();
  }
}
