// The answer.

import { at, download, el, marked, round, show, svg, table } from "./dom.js";
import { mover } from "./mover.js";
import { momentPicture } from "./moments.js";
import { get } from "./store.js";

const verdicts = {
  change: ["Change your setting", "Use another setting"],
  stay: ["Keep your setting", "The common setting suits you"],
  "stay-unsure": ["Keep your setting for now", "Nothing is surely better than the common setting"],
  "not-enough": ["Not enough to say yet", "Not enough to say yet"],
};
const verdictWords = { change: "yes", stay: "no", "stay-unsure": "not sure", "not-enough": "not enough to say" };

const upper = text => text[0].toUpperCase() + text.slice(1);

export class Answer {
  constructor(plan, store, keyboard) {
    Object.assign(this, { plan, store, keyboard });
    this.asked = { now: plan.now, false_hold: plan.false_hold };
    this.known = null;
    at("now").value = plan.now || "";
    at("counts-for").value = plan.false_hold;
    at("ask").addEventListener("submit", event => {
      event.preventDefault();
      this.asked = { now: at("now").value.trim() || null, false_hold: Number(at("counts-for").value) };
      this.ask();
    });
    at("retry").addEventListener("click", () => this.ask());
    at("save-log").addEventListener("click", () => this.saveLog());
    at("save-instead").addEventListener("click", () => this.saveLog());
    at("save-answer").addEventListener("click", () => this.save("agogic-answer.json", "application/json",
      JSON.stringify({ ...this.known, page: undefined }, null, 2) + "\n"));
    at("save-page").addEventListener("click", () => this.save("agogic-answer.html", "text/html", this.known.page));
  }

  saveLog() { this.save("agogic-log.csv", "text/csv", this.store.text); }

  save(name, kind, content) {
    download(name, kind, content);
    at("saved").textContent = `${name} was handed to your browser to save. It says how you type, and a log also what: keep it to yourself.`;
  }

  async ask() {
    for (const id of ["retry", "more-instead", "save-instead"]) at(id).hidden = true;
    at("wait-head").textContent = "Working it out";
    at("wait-note").textContent = "Your presses are put beside those of simulated people and under every rule. This takes seconds.";
    show("wait");
    try {
      await this.store.all();
      if (!this.store.text) throw new Error("Nothing was typed yet.");
      this.known = await get(`work/${this.store.id}/answer`, this.asked);
    } catch (error) {
      at("wait-head").textContent = "No answer";
      at("wait-note").textContent = error.message;
      for (const id of ["retry", "more-instead", "save-instead"]) at(id).hidden = false;
      at("save-instead").hidden = !this.store.text;
      return;
    }
    this.tell();
  }

  tell() {
    const { advice, typed, cautions, portrait, note } = this.known;
    const shown = this.keyboard.shown;
    const simple = advice.simple;
    at("verdict").replaceChildren(...marked(simple.verdict === "change" && advice.changes.length
      ? upper(advice.changes.join("; ")) : verdicts[simple.verdict][advice.now ? 0 : 1]));
    at("sentences").replaceChildren(...advice.sentences.map(text => el("p", { class: "sentence" }, marked(text))),
      ...(portrait ? [el("p", { class: "portrait" }, marked(portrait))] : []), ...(advice.practice ? [el("p", {}, marked(advice.practice.sentence))] : []), ...(note ? [el("p", { class: "aside" }, `Note: ${note}.`)] : []));
    this.tellBought();
    at("known-settings").replaceChildren(...typed.counts.map(own => el("option", { value: own.setting })));
    at("saved").textContent = "";

    const marks = [{ label: `${advice.now ? "in use" : "common default"}, ${advice.before}`, place: typed.counts[0].place }];
    const chosen = typed.counts[typed.counts.length - 1];
    if (chosen.setting !== advice.before) marks.push({ label: `advised, ${chosen.setting}`, place: chosen.place });
    const start = typed.counts[0].place || chosen.place
      || { rule: 0, value: 0, lull: 0, floor: 0, other_hand: false };
    if (typed.passed.hold.length) {
      mover(at("own-mover"), { sliders: typed.sliders, passed: typed.passed, start, marks, who: "of your letters and holds" });
    } else {
      at("own-mover").replaceChildren(el("p", {}, "Not enough to say: no press of a key with two meanings was prompted yet."));
    }
    this.tellCounts();
    this.tellMoments(shown);
    this.tellBeside();
    this.tellKeys(shown);
    at("cautions").replaceChildren(...cautions.map(text => el("li", {}, text)));
    show("answer");
  }

  // What a change buys and costs, and how sure that is.
  tellBought() {
    const { advice } = this.known;
    const { before, after, gain } = advice.simple;
    if (advice.simple.verdict === "not-enough") { at("bought").replaceChildren(); return; }
    const prices = this.known.advice.prices;
    const price = name => [0, 1].map(at => prices[at] && prices[at][name] !== null ? round(prices[at][name], name === "wrong_keys" ? 1 : 0) : "unknown");
    const [delayBefore, delayAfter] = price("tap_delay");
    const rows = [
      ["letters held (false holds), per 1000 letters", round(before.false_holds, 1), round(after.false_holds, 1)],
      ["holds missed, per 100 holds", round(before.missed_holds, 1), round(after.missed_holds, 1)],
      ["wait until a letter shows, ms", delayBefore, delayAfter],
      ["wrong keys, per 1000 words", ...price("wrong_keys")],
    ];
    const same = advice.simple.setting === advice.before;
    const sure = same ? "" : gain.lo === null || gain.lo === undefined ? "How sure that is cannot be said."
      : `How sure: it saves ${round(gain.lo, 1)} to ${round(gain.hi, 1)} wrong decisions per 1000 presses ` +
        `(${gain.level * 100} % interval), ${round(gain.value, 1)} most likely; below zero it costs some.`;
    at("bought").replaceChildren(table("What it buys and costs: the log and people like you together.",
      [["", false], [advice.now ? "now" : "common setting", true], ["advised", true]], rows), el("p", {}, sure));
  }

  tellCounts() {
    const { advice, typed } = this.known;
    const rows = typed.counts.map((own, place) => {
      const row = place ? advice.rules[place - 1] : null;
      const last = place === typed.counts.length - 1;
      return { chosen: last, cells: [place ? own.rule : advice.now ? "in use" : "common default", own.setting,
        `${own.letters[1]} of ${own.letters[0]}`, own.holds[0] ? `${own.holds[1]} of ${own.holds[0]}` : "no hold",
        row ? verdictWords[row.verdict] : ""] };
    });
    at("counts").replaceChildren(table("Each rule with its best values for you, counted on the very presses that chose them: what " +
      "a session to come would bring stands in the last column and above.",
    [["rule", false], ["setting", false], ["letters held", true], ["holds missed", true], ["worth a change?", false]], rows));
  }

  tellMoments(shown) {
    const { advice, typed } = this.known;
    const settings = typed.counts.map((own, place) => ({ ...own, short: place ? own.rule : advice.now ? "in use" : "common default" }));
    at("moments-note").textContent = typed.moments.length
      ? `Presses that ${advice.before} gets wrong; first those that most others get wrong too. A ring with a tick is right, a square with a cross is wrong, each where it was decided.`
      : `${advice.before} gets none of the ${typed.passed.hold.length} presses wrong whose meaning is known.`;
    at("moments").replaceChildren(...typed.moments.map(moment => momentPicture(moment, settings, shown)));
  }

  tellBeside() {
    const { typed, population, people } = this.known;
    at("beside-note").textContent = `Beside ${people} simulated people of ${population}.`;
    const rows = typed.beside.map(row => {
      const own = row.own === null ? `not enough to say (${row.seen} seen)` : `${round(row.own)} ${row.unit}`;
      const others = row.others ? `${round(row.others[1])} to ${round(row.others[3])} ${row.unit}` : "unknown";
      const below = row.below === null ? "" : `more than ${round(row.below)} of 100`;
      return [`${row.name}: ${row.about}`, own, others, below];
    });
    at("beside").replaceChildren(table("You and the middle half of others.",
      [["what", false], ["you", true], ["half of others", true], ["you lie at", false]], rows),
    el("div", { class: "pictures" }, typed.beside.filter(row => row.own !== null && row.others).map(besidePicture)));
  }

  tellKeys(shown) {
    const { advice } = this.known;
    const columns = first => [[first, false], ["letters", true], ["held now", true], ["held advised", true], ["holds", true],
      ["missed now", true], ["missed advised", true], ["over 200 ms, of 100 letters", true]];
    const row = (own, name) => [name, own.taps, own.false_holds[0], own.false_holds[1], own.holds, own.missed_holds[0],
      own.missed_holds[1], own.taps ? round(100 * own.long_taps / own.taps) : "no letter"].map(String);
    if (!advice.keys.length) {
      at("by-key").replaceChildren(el("p", {}, "Not enough to say: no press of a key with two meanings was prompted yet."));
      return;
    }
    at("by-key").replaceChildren(
      table("By key: wrong decisions on your presses, each fifth of them decided by what the rest advises.", columns("key"),
        advice.keys.map(own => row(own, shown(own.name)))),
      table("By finger.", columns("finger"), advice.fingers.map(own => row(own, own.name))));
  }
}

function besidePicture(row) {
  const [low, q1, middle, q3, high] = row.others;
  const from = Math.min(low, row.own), to = Math.max(high, row.own);
  const x = value => 20 + (value - from) / (to - from || 1) * 380;
  const label = `${row.name}: you ${round(row.own)} ${row.unit}, half of others ${round(q1)} to ${round(q3)} ${row.unit}.`;
  return el("figure", {}, svg("svg", { viewBox: "0 0 420 62", role: "img", "aria-label": label },
    svg("line", { class: "frame", x1: x(low), x2: x(high), y1: 30, y2: 30 }),
    svg("rect", { class: "key-bar", x: x(q1), y: 20, width: Math.max(1, x(q3) - x(q1)), height: 20 }),
    svg("line", { class: "frame", x1: x(middle), x2: x(middle), y1: 16, y2: 44 }),
    svg("path", { class: "own-bar", d: `M${x(row.own)},30l-7,-9h14zM${x(row.own)},30l-7,9h14z` }),
    svg("text", { x: x(row.own), y: 12, "text-anchor": row.own > (from + to) / 2 ? "end" : "start" }, `you, ${round(row.own)} ${row.unit}`),
    svg("text", { class: "soft", x: x(middle), y: 58, "text-anchor": "middle" }, `${row.name}, middle of others ${round(middle)} ${row.unit}`)));
}
