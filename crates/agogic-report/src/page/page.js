"use strict";
(() => {
  const root = document.documentElement;
  const button = document.getElementById("theme");
  const dark = () => root.dataset.theme
    ? root.dataset.theme === "dark"
    : matchMedia("(prefers-color-scheme: dark)").matches;
  const label = () => { button.textContent = dark() ? "Light page" : "Dark page"; };
  button.addEventListener("click", () => { root.dataset.theme = dark() ? "light" : "dark"; label(); });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", label);
  label();
  document.getElementById("look").hidden = false;

  // What is unknown stays at the end, whichever way the rows are sorted.
  const value = (row, at, numeric) => {
    const cell = row.cells[at];
    if (!numeric) return cell.textContent.trim().toLowerCase();
    return "sort" in cell.dataset ? Number(cell.dataset.sort) : null;
  };
  const sort = (table, at, numeric, up) => {
    const body = table.tBodies[0];
    const rows = Array.from(body.rows, (row) => ({ row, key: value(row, at, numeric) }));
    rows.sort((a, b) => {
      if (a.key === null || b.key === null) return (a.key === null) - (b.key === null);
      const order = numeric ? a.key - b.key : a.key.localeCompare(b.key);
      return up ? order : -order;
    });
    body.append(...rows.map((each) => each.row));
  };
  for (const table of document.querySelectorAll("table")) {
    const heads = Array.from(table.tHead.rows[0].cells);
    heads.forEach((head, at) => {
      const knob = document.createElement("button");
      knob.type = "button";
      knob.append(...head.childNodes);
      head.append(knob);
      knob.addEventListener("click", () => {
        const up = head.getAttribute("aria-sort") !== "ascending";
        heads.forEach((other) => other.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", up ? "ascending" : "descending");
        sort(table, at, head.classList.contains("number"), up);
      });
    });
  }
})();
