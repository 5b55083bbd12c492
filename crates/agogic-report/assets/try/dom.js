// Small helpers: everything on the page is made of nodes, never of markup in strings.

export const at = id => document.getElementById(id);

const SVG = "http://www.w3.org/2000/svg";

function made(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : String(value));
  }
  node.append(...children.flat(Infinity).filter(child => child !== null && child !== undefined));
  return node;
}

export const el = (tag, attributes, ...children) => made(document.createElement(tag), attributes, children);
export const svg = (tag, attributes, ...children) => made(document.createElementNS(SVG, tag), attributes, children);

const sections = ["start", "work", "wait", "answer", "explorer"];

// Shows one section and puts the focus on its heading, so that a screen reader says where one is.
export function show(id, focus = true) {
  for (const section of sections) at(section).hidden = section !== id;
  if (!focus) return;
  const heading = at(id).querySelector("h1");
  if (heading) heading.focus();
  scrollTo(0, 0);
}

// A table: columns are [heading, is a number]; a row may be { cells, chosen }.
export function table(caption, columns, rows) {
  const head = columns.map(([name, number]) => el("th", { scope: "col", class: number && "number" }, name));
  const body = rows.map(row => {
    const cells = row.cells || row;
    return el("tr", { class: row.chosen && "chosen" }, cells.map((cell, place) => place === 0
      ? el("th", { scope: "row" }, cell)
      : el("td", { class: columns[place][1] && "number" }, cell)));
  });
  return el("div", { class: "table", tabindex: "0", role: "group", "aria-label": caption },
    el("table", {}, el("caption", {}, caption), el("thead", {}, el("tr", {}, head)), el("tbody", {}, body)));
}

// A text in which settings stand between backticks.
export const marked = text => text.split("`").map((part, place) => place % 2 ? el("code", {}, part) : part);

export const round = (value, digits = 0) => value === null || value === undefined ? "unknown" : value.toFixed(digits);

export function download(name, kind, content) {
  const link = el("a", { href: URL.createObjectURL(new Blob([content], { type: kind })), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
