// One press in time: the keys around it, and what each rule made of it and when.

import { el, round, svg } from "./dom.js";

const [W, LEFT, ROW, BAR] = [640, 150, 24, 30];

// Right is a ring with a tick, wrong a square with a cross: told apart without colour.
function decided(x, y, right) {
  return right
    ? svg("g", { class: "right-mark" }, svg("circle", { cx: x, cy: y, r: 7 }),
      svg("path", { d: `M${x - 3.5},${y}l2.5,3l4.5,-6` }))
    : svg("g", { class: "wrong-mark" }, svg("rect", { x: x - 7, y: y - 7, width: 14, height: 14 }),
      svg("path", { d: `M${x - 4},${y - 4}l8,8m0,-8l-8,8` }));
}

// Bars that overlap lie in different lanes; the key in question has the first to itself.
function lanes(keys) {
  const ends = [Infinity];
  return keys.map(key => {
    if (key.own) return 0;
    let lane = ends.findIndex(end => end + 12 < key.down_ms);
    if (lane < 0) lane = ends.length;
    ends[lane] = key.up_ms;
    return lane;
  });
}

export function momentPicture(moment, settings, shown) {
  const from = Math.min(-50, ...moment.keys.map(key => key.down_ms));
  const to = Math.max(moment.dwell_ms, ...moment.keys.map(key => key.up_ms),
    ...moment.decided.map(own => own.after_ms)) + 20;
  const x = ms => LEFT + (Math.max(from, Math.min(to, ms)) - from) / (to - from) * (W - LEFT - 16);
  const short = code => code === "Space" ? "␣" : shown(code);
  const parts = [];
  const at = lanes(moment.keys);
  for (const [number, key] of moment.keys.entries()) {
    const y = 16 + at[number] * BAR;
    const width = Math.max(3, x(key.up_ms) - x(key.down_ms));
    parts.push(svg("rect", { class: key.own ? "own-bar" : "key-bar", x: x(key.down_ms), y: y - 10, width, height: 20, rx: 3 }),
      svg("text", { class: key.own ? "on-own" : null, x: x(key.down_ms) + width / 2, y: y + 5, "text-anchor": "middle" },
        short(key.key)));
  }
  parts.push(svg("text", { x: LEFT - 8, y: 20, "text-anchor": "end" }, `${shown(moment.key)}, ${round(moment.dwell_ms)} ms`));
  let y = 16 + (Math.max(0, ...at) + 1) * BAR + 6;
  for (const [number, own] of moment.decided.entries()) {
    const right = own.hold === moment.meant_hold;
    const px = x(own.after_ms);
    const end = px > W - 120;
    parts.push(svg("text", { class: "soft", x: LEFT - 8, y: y + 4, "text-anchor": "end" }, settings[number].short),
      svg("line", { class: "grid", x1: x(0), x2: px, y1: y, y2: y }), decided(px, y, right),
      svg("text", { x: px + (end ? -12 : 12), y: y + 4, "text-anchor": end ? "end" : "start" },
        `${own.hold ? "hold" : "letter"}, ${right ? "right" : "wrong"}`));
    y += ROW;
  }
  parts.unshift(svg("line", { class: "frame", x1: x(0), x2: x(0), y1: 2, y2: y - 8 }));
  const meant = moment.meant_hold ? "a hold" : "a letter";
  const told = `${shown(moment.key)}${moment.finger ? `, ${moment.finger} finger` : ""}: meant as ${meant}, down for ` +
    `${round(moment.dwell_ms)} ms. ${moment.wrong} of ${moment.decided.length} settings get it wrong.`;
  return el("figure", { class: "moment" },
    el("div", { class: "wide", tabindex: "0", role: "group", "aria-label": `${shown(moment.key)} in time` },
      svg("svg", { viewBox: `0 0 ${W} ${y}`, role: "img", "aria-label": told }, parts)),
    el("figcaption", {}, told));
}
