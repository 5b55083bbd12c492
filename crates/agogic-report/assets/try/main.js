// The page: it asks, records, and shows the answer. It talks to the program on this machine and to nobody else.

import { at, el, show } from "./dom.js";
import { Answer } from "./answer.js";
import { explore } from "./explorer.js";
import { get, Store } from "./store.js";
import { Typing } from "./typing.js";

const plan = await get("plan.json");
const store = new Store();
const answer = new Answer(plan, store, null);
const typing = new Typing(plan, store, () => answer.ask());
answer.keyboard = typing.keyboard;

async function listEarlier() {
  const works = (await get("work")).filter(work => work.bytes > 0);
  at("earlier").hidden = !works.length;
  at("earlier-list").replaceChildren(...works.map(work => {
    const { presses = 0, finished = false } = JSON.parse(work.place || "{}");
    const minutes = Math.round(work.age_s / 60);
    const when = minutes ? `${minutes} min ago` : "just now";
    return el("li", {}, `${presses} presses, ${when}`,
      el("button", { onclick: () => goOn(work.id, finished) }, finished ? "See the answer" : "Go on"));
  }));
}

async function goOn(id, finished) {
  if (!await store.take(id)) { listEarlier(); return; }
  typing.restore();
  if (finished) answer.ask(); else typing.begin(false);
}

at("begin").addEventListener("click", () => typing.begin(true));
at("explorer-begin").addEventListener("click", () => store.text ? typing.begin(false) : typing.begin(true));
at("look").addEventListener("click", explore);
at("explorer-back").addEventListener("click", () => { show("start"); listEarlier().catch(() => {}); });
for (const id of ["more", "more-instead"]) {
  at(id).addEventListener("click", () => typing.begin(false));
}
at("forget").addEventListener("click", async () => {
  if (!confirm("Forget everything that was typed on this page, in all its tabs?")) return;
  try {
    await store.forget();
  } catch { /* a program that has ended has forgotten too */ }
  sessionStorage.clear();
  location.reload();
});
addEventListener("beforeunload", event => {
  // Only what the program could not keep would be lost.
  if (store.text.length > store.kept && store.lost) event.preventDefault();
});

if (await store.resume() && store.text) {
  const { finished } = JSON.parse(store.place || "{}");
  typing.restore();
  if (finished) {
    answer.ask();
  } else {
    typing.begin(false);
    typing.pause(true);
    at("hint").textContent = "Nothing was lost. Choose Go on.";
  }
} else {
  show("start", false);
  await listEarlier();
}
document.documentElement.dataset.ready = "yes";
