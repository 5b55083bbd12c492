// Looking around without typing: simulated people, the trade-off, and the one default.

import { at, el, show } from "./dom.js";
import { mover } from "./mover.js";
import { get } from "./store.js";

let known = null;

function tell(number) {
  const { sliders, people } = known;
  const own = people[number];
  at("people-about").textContent = `${own.about}. ${own.people} of them. The one default for all of them is ${own.default}.`;
  const marks = people.map(other => ({ label: `default of ${other.population}, ${other.default}`, place: other.place }));
  const start = own.place || { rule: 0, value: 0, lull: 0, floor: 0, other_hand: false };
  mover(at("people-mover"), { sliders, passed: own.passed, start, marks, who: "letters and holds of these people" });
}

export async function explore() {
  show("explorer");
  if (known) return;
  at("explorer-note").textContent = "The people are still typing. This takes seconds.";
  try {
    known = await get("explorer");
  } catch (error) {
    at("explorer-note").textContent = error.message;
    return;
  }
  at("explorer-note").textContent = "";
  const radios = known.people.map((own, number) => el("label", {},
    el("input", { type: "radio", name: "people", value: number, checked: number === 0, onchange: () => tell(number) }),
    ` ${own.population}`));
  at("people-choice").replaceChildren(el("fieldset", { class: "choice" }, el("legend", {}, "Who types"), radios));
  tell(0);
}
