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

  // A wide page has room for its contents in a line.
  const contents = document.getElementById("contents");
  const wide = matchMedia("(min-width: 64rem)");
  const unfold = () => { contents.open = wide.matches; };
  wide.addEventListener("change", unfold);
  unfold();

  // A link into what is folded away opens it.
  const reach = () => {
    const target = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!target) return;
    for (let at = target.parentElement; at; at = at.parentElement) {
      if (at.tagName === "DETAILS") at.open = true;
    }
    target.scrollIntoView();
  };
  addEventListener("hashchange", reach);
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href^='#']");
    if (link && link.getAttribute("href") === location.hash) reach();
  });
  reach();

  // Paper has nothing to click on: all is shown there, and as it was afterwards.
  let folded = [];
  addEventListener("beforeprint", () => {
    folded = Array.from(document.querySelectorAll("details:not([open])"));
    for (const each of folded) each.open = true;
  });
  addEventListener("afterprint", () => {
    for (const each of folded) each.open = false;
    folded = [];
  });

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
      const sorter = document.createElement("button");
      sorter.type = "button";
      sorter.append(...head.childNodes);
      head.append(sorter);
      sorter.addEventListener("click", () => {
        const up = head.getAttribute("aria-sort") !== "ascending";
        heads.forEach((other) => other.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", up ? "ascending" : "descending");
        sort(table, at, head.classList.contains("number"), up);
      });
    });
  }

  // A frame that is narrower than its table says how many columns are out of sight.
  const tell = (frame) => {
    const edge = frame.getBoundingClientRect().right;
    const heads = Array.from(frame.querySelectorAll("thead th"));
    const over = frame.scrollWidth > frame.clientWidth + 1;
    const hidden = heads.filter((head) => head.getBoundingClientRect().right > edge + 1).length;
    let line = frame.previousElementSibling;
    if (!line || !line.classList.contains("more")) {
      if (!over) return;
      line = document.createElement("p");
      line.className = "more";
      frame.before(line);
    }
    line.hidden = !over;
    line.textContent = hidden === 0
      ? "← Scroll back for the first columns."
      : `Scroll sideways for ${hidden} more column${hidden === 1 ? "" : "s"} →`;
  };
  const watch = new ResizeObserver((seen) => { for (const each of seen) tell(each.target); });
  for (const frame of document.querySelectorAll(".scroll")) {
    watch.observe(frame);
    frame.addEventListener("scroll", () => tell(frame), { passive: true });
  }
})();
