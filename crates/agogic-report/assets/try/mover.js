// Sliders that show both errors of a setting at once, on presses that came with the page.

import { el, round, svg } from "./dom.js";

// The errors at every value of a rule, the guards staying where they are: letters held and holds missed.
export function curve(passed, sliders, place) {
  const rule = sliders.rules[place.rule];
  const points = rule.value ? rule.value.points.length : 1;
  const own = passed.rules[place.rule][place.other_hand && passed.rules[place.rule].length > 1 ? 1 : 0];
  const held = [new Float64Array(points + 1), new Float64Array(points + 1)];
  const all = [0, 0];
  for (let at = 0; at < own.length; at += 1) {
    const meant = passed.hold[at];
    all[meant] += 1;
    const guarded = !rule.guards || place.lull < passed.lull[at] && place.floor < passed.floor[at];
    if (guarded) held[meant][own[at]] += 1;
  }
  // A press is a hold at every value before the number that it passes.
  for (const sums of held) for (let at = points - 1; at >= 0; at -= 1) sums[at] += sums[at + 1];
  const errors = [];
  for (let at = 0; at < points; at += 1) errors.push([held[0][at + 1], all[1] - held[1][at + 1]]);
  return { all, errors };
}

const value = (sliders, place) => {
  const rule = sliders.rules[place.rule];
  return rule.value ? rule.value.points[place.value] : null;
};

export function written(sliders, place) {
  const rule = sliders.rules[place.rule];
  const parts = [rule.value ? `${rule.rule} ${value(sliders, place)}` : rule.rule];
  if (rule.guards) {
    if (place.lull) parts.push(`lull ${sliders.lulls_ms[place.lull]}`);
    if (place.floor) parts.push(`floor ${sliders.floors_ms[place.floor]}`);
    if (place.other_hand) parts.push("other hand");
  }
  return parts.join(", ");
}

const share = (wrong, all, per) => all ? per * wrong / all : null;

// `start` is a place; `marks` are { label, place } to be shown where they lie on the curve.
export function mover(box, { sliders, passed, start, marks, who }) {
  const id = `m${Math.random().toString(36).slice(2, 8)}`;
  let place = { ...start };
  const choice = el("select", { id: `${id}-rule` }, sliders.rules.map((rule, at) =>
    el("option", { value: at }, rule.rule + (rule.tables ? " (needs tables)" : ""))));
  const about = el("p", { class: "aside" });
  const knob = (name, label) => {
    const input = el("input", { type: "range", id: `${id}-${name}`, min: 0, step: 1 });
    const shown = el("output", { for: `${id}-${name}` });
    return { input, shown, box: el("div", {}, el("label", { for: `${id}-${name}` }, label, " ", shown), input) };
  };
  const knobs = { value: knob("value", "Value"), lull: knob("lull", "Least pause before it:"),
    floor: knob("floor", "Least time down:") };
  const valueLabel = knobs.value.box.querySelector("label");
  const hand = el("input", { type: "checkbox", id: `${id}-hand` });
  const handBox = el("label", { class: "tick" }, hand, " only keys of the other hand make a hold");
  const letters = el("p", {}), holds = el("p", {});
  const named = el("p", {}, "Setting: ", el("code", {}));
  const curves = el("figure", {}), trade = el("figure", {});
  box.replaceChildren(el("div", { class: "mover" }, el("label", { for: `${id}-rule` }, "Rule"), choice, about,
    el("div", { class: "knobs" }, knobs.value.box, knobs.lull.box, knobs.floor.box), handBox,
    el("div", { class: "both", role: "status" }, el("div", { class: "letters" }, letters),
      el("div", { class: "holds" }, holds)), named, el("div", { class: "pictures" }, curves, trade)));

  function draw() {
    const rule = sliders.rules[place.rule];
    const { all, errors } = curve(passed, sliders, place);
    const [false_holds, missed] = errors[rule.value ? place.value : 0];
    about.textContent = rule.about + ".";
    knobs.value.box.hidden = !rule.value;
    for (const part of [knobs.lull.box, knobs.floor.box, handBox]) part.hidden = !rule.guards;
    // A unit in words says more than there is room for; the name of the value says it too.
    const unit = rule.value && rule.value.unit && rule.value.unit.length <= 4 ? ` ${rule.value.unit}` : "";
    const plain = rule.value ? rule.value.name.replace(/_(ms|nats)$/, "").replaceAll("_", " ") : "";
    if (rule.value) {
      knobs.value.input.max = rule.value.points.length - 1;
      valueLabel.firstChild.textContent = `${plain[0].toUpperCase()}${plain.slice(1)}:`;
    }
    knobs.lull.input.max = sliders.lulls_ms.length - 1;
    knobs.floor.input.max = sliders.floors_ms.length - 1;
    const none = ms => ms ? `${ms} ms` : "none";
    const set = (part, at, text) => {
      if (part.input.value !== String(at)) part.input.value = at;
      part.shown.textContent = text;
      part.input.setAttribute("aria-valuetext", text);
    };
    if (rule.value) set(knobs.value, place.value, `${value(sliders, place)}${unit}`);
    set(knobs.lull, place.lull, none(sliders.lulls_ms[place.lull]));
    set(knobs.floor, place.floor, none(sliders.floors_ms[place.floor]));
    hand.checked = place.other_hand;
    choice.value = place.rule;
    letters.replaceChildren("Letters held: ", el("strong", {}, `${false_holds} of ${all[0]}`), el("br"),
      `${round(share(false_holds, all[0], 1000), 1)} per 1000 letters`);
    holds.replaceChildren("Holds missed: ", el("strong", {}, `${missed} of ${all[1]}`), el("br"),
      all[1] ? `${round(share(missed, all[1], 100), 1)} per 100 holds` : "no hold was made, so none can be missed");
    named.querySelector("code").textContent = written(sliders, place);
    const rates = errors.map(([held, lost]) => [share(held, all[0], 100) || 0, share(lost, all[1], 100) || 0]);
    curves.hidden = !rule.value;
    curves.replaceChildren(...(rule.value ? [curvePicture(rule, rates, place.value, unit),
      el("figcaption", {}, `Of 100 ${who}: letters held (solid line) and holds missed (dashed line) at every ${plain}.`)]
      : []));
    const at = own => {
      const found = curve(passed, sliders, own);
      const [held, lost] = found.errors[sliders.rules[own.rule].value ? own.value : 0];
      return [share(held, found.all[0], 100) || 0, share(lost, found.all[1], 100) || 0];
    };
    const shown = marks.filter(mark => mark.place).map(mark => ({ label: mark.label, rate: at(mark.place) }));
    trade.replaceChildren(tradePicture(rates, rates[rule.value ? place.value : 0], shown), el("figcaption", {},
      "The trade-off: left and low is best. The line is this rule at every value, the ring where it stands now" +
      (shown.length ? `; ${shown.map((mark, place) => `${"ABCDEF"[place]}: ${mark.label}`).join("; ")}.` : ".")));
  }

  const moved = (name, number) => event => { place = { ...place, [name]: number(event) }; draw(); };
  const whole = event => Number(event.target.value);
  knobs.value.input.addEventListener("input", moved("value", whole));
  knobs.lull.input.addEventListener("input", moved("lull", whole));
  knobs.floor.input.addEventListener("input", moved("floor", whole));
  hand.addEventListener("change", moved("other_hand", event => event.target.checked));
  choice.addEventListener("change", event => {
    const rule = whole(event);
    const own = marks.find(mark => mark.place && mark.place.rule === rule);
    const points = sliders.rules[rule].value ? sliders.rules[rule].value.points.length : 1;
    place = own ? { ...own.place } : { rule, value: Math.floor(points / 2), lull: 0, floor: 0, other_hand: false };
    draw();
  });
  draw();
}

const [W, H, L, B, T, R] = [420, 262, 44, 40, 30, 14];

function axes(most, ticks, xName, yName) {
  const y = rate => H - B - rate / most * (H - B - T);
  const lines = [0, 0.25, 0.5, 0.75, 1].map(part => [svg("line", { class: "grid", x1: L, x2: W - R, y1: y(part * most),
    y2: y(part * most) }), svg("text", { class: "soft", x: L - 6, y: y(part * most) + 4, "text-anchor": "end" },
    round(part * most))]);
  return [...lines, ticks, svg("text", { class: "soft", x: (L + W - R) / 2, y: H - 6, "text-anchor": "middle" }, xName),
    svg("text", { class: "soft", x: 0, y: 12 }, yName)];
}

// An end of an axis whose quarters are plain numbers.
const most = rates => [4, 8, 12, 20, 40, 60, 80, 100].find(end => end >= Math.max(0, ...rates)) || 100;
const path = points => points.map(([x, y], at) => `${at ? "L" : "M"}${x.toFixed(1)},${y.toFixed(1)}`).join("");

function curvePicture(rule, rates, here, unit) {
  const { points } = rule.value;
  const [from, to] = [points[0], points[points.length - 1]];
  const top = most(rates.flat());
  const x = point => L + (point - from) / (to - from) * (W - L - R);
  const y = rate => H - B - rate / top * (H - B - T);
  const ticks = [0, 0.5, 1].map(part => svg("text", { class: "soft", x: x(from + part * (to - from)), y: H - B + 16,
    "text-anchor": "middle" }, round(from + part * (to - from), to - from < 10 ? 1 : 0) + unit));
  const line = which => path(points.map((point, at) => [x(point), y(rates[at][which])]));
  const [held, lost] = rates[here];
  const label = `At ${points[here]}${unit}: ${round(held, 1)} of 100 letters held, ${round(lost, 1)} of 100 holds missed.`;
  return svg("svg", { viewBox: `0 0 ${W} ${H}`, role: "img", "aria-label": label },
    axes(top, ticks, "", "of 100"),
    svg("path", { class: "letters-line", d: line(0) }), svg("path", { class: "holds-line", d: line(1) }),
    svg("line", { class: "trail", x1: x(points[here]), x2: x(points[here]), y1: T, y2: H - B }),
    svg("circle", { class: "here", cx: x(points[here]), cy: y(held), r: 6 }),
    svg("rect", { class: "here", x: x(points[here]) - 5, y: y(lost) - 5, width: 10, height: 10 }));
}

function tradePicture(rates, [held, lost], marks) {
  const all = [...rates, ...marks.map(mark => mark.rate)];
  const topX = most(all.map(rate => rate[0])), topY = most(all.map(rate => rate[1]));
  const x = rate => L + rate / topX * (W - L - R);
  const y = rate => H - B - rate / topY * (H - B - T);
  const ticks = [0, 0.5, 1].map(part => svg("text", { class: "soft", x: x(part * topX), y: H - B + 16,
    "text-anchor": "middle" }, round(part * topX)));
  const label = `The setting stands at ${round(held, 1)} of 100 letters held and ${round(lost, 1)} of 100 holds missed.`;
  return svg("svg", { viewBox: `0 0 ${W} ${H}`, role: "img", "aria-label": label },
    axes(topY, ticks, "letters held of 100", "holds missed of 100"),
    svg("path", { class: "trail", d: path(rates.map(([a, b]) => [x(a), y(b)])) }),
    svg("circle", { class: "here", cx: x(held), cy: y(lost), r: 7 }),
    marks.map((mark, at) => {
      const [px, py] = [x(mark.rate[0]), y(mark.rate[1])];
      return [svg("path", { class: "trail", d: `M${px - 5},${py}h10M${px},${py - 5}v10` }),
        svg("text", { x: px + 7, y: py - 6 }, "ABCDEF"[at])];
    }));
}

