// Sorts and narrows the tables of a page; without it every row is there to be read all the same.
"use strict";
(() => {
  const text = (cell) => (cell ? cell.textContent.trim() : "");
  const figure = (words) => { const found = /-?\d+(\.\d+)?/.exec(words.replace(/,/g, "")); return found ? Number(found[0]) : Infinity; };
  const by = (type) => (a, b) => type === "text" || type === "thing" || type === "verdict"
    ? a.localeCompare(b, undefined, { numeric: true }) : figure(a) - figure(b) || a.localeCompare(b);
  const sorted = (table, at, type, down) => {
    const body = table.tBodies[0], compare = by(type);
    const rows = [...body.rows].sort((a, b) => {
      const one = text(a.cells[at]), other = text(b.cells[at]);
      return (one === "") - (other === "") || compare(one, other) * (down ? -1 : 1);
    });
    body.append(...rows);
  };
  const sorting = (table, heads) => heads.forEach((head, at) => {
    if (!head.dataset.type) return;
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      const down = head.getAttribute("aria-sort") === "ascending";
      heads.forEach((other) => other.removeAttribute("aria-sort"));
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      sorted(table, at, head.dataset.type, down);
    });
  });
  const narrowing = (table, heads) => {
    const chosen = new Map(), bar = document.createElement("p"), told = document.createElement("span");
    const show = () => {
      let count = 0;
      for (const row of table.tBodies[0].rows) {
        row.hidden = [...chosen].some(([at, value]) => value && text(row.cells[at]) !== value);
        count += row.hidden ? 0 : 1;
      }
      told.textContent = [...chosen.values()].some(Boolean) ? `${count} of ${table.tBodies[0].rows.length}` : "";
    };
    heads.forEach((head, at) => {
      if (!("narrow" in head.dataset)) return;
      const values = [...new Set([...table.tBodies[0].rows].map((row) => text(row.cells[at])))].filter(Boolean);
      if (values.length < 2 || values.length > 60) return;
      const label = document.createElement("label"), select = document.createElement("select");
      label.append(text(head) + " ", select);
      select.append(new Option("all", ""), ...values.sort(by("text")).map((value) => new Option(value, value)));
      select.addEventListener("change", () => { chosen.set(at, select.value); show(); });
      bar.append(label, " ");
    });
    told.setAttribute("role", "status");
    bar.className = "narrow";
    if (bar.childNodes.length) { bar.append(told); table.parentElement.before(bar); }
  };
  for (const table of document.querySelectorAll("table.list")) {
    const heads = [...table.tHead.rows[0].cells];
    if (table.tBodies[0].rows.length < 6) continue;
    narrowing(table, heads);
    sorting(table, heads);
  }
})();
