"use strict";
// A leg pointed at in the table or in a chart is shown in all of them; the table of legs sorts.
// Everything reads without this script. It holds neither ampersands nor less-than signs, so that the
// page stays well-formed for readers of XML too.
(() => {
  const root = document.documentElement;
  const marks = new Map();
  for (const mark of document.querySelectorAll("[data-leg]")) {
    const leg = mark.dataset.leg;
    if (!marks.has(leg)) marks.set(leg, []);
    marks.get(leg).push(mark);
  }
  let shown = null;
  let held = null;
  const show = (leg) => {
    if (leg === shown) return;
    for (const mark of marks.get(shown) || []) mark.classList.remove("lit");
    shown = leg;
    for (const mark of marks.get(shown) || []) mark.classList.add("lit");
    root.classList.toggle("has-lit", shown !== null);
  };
  const legOf = (place) => {
    const mark = place instanceof Element ? place.closest("[data-leg]") : null;
    return mark ? mark.dataset.leg : null;
  };
  // Moved, not merely over: where the keyboard scrolls the page, another leg comes to lie under a mouse at rest.
  document.addEventListener("pointermove", (event) => {
    if (event.pointerType !== "touch") show(legOf(event.target) || held);
  });
  document.addEventListener("click", (event) => {
    if (event.target.closest("a, button")) return;
    const leg = legOf(event.target);
    held = leg === held ? null : leg;
    show(held);
  });
  document.addEventListener("focusin", (event) => show(legOf(event.target) || held));
  document.addEventListener("focusout", () => show(held));
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      held = null;
      show(null);
    }
  });

  for (const table of document.querySelectorAll("table.sorts")) {
    const body = table.tBodies[0];
    const heads = [...table.tHead.rows[0].cells];
    // One stop for the tab key; the arrows go from leg to leg.
    const stop = (row) => {
      for (const other of body.rows) other.tabIndex = other === row ? 0 : -1;
    };
    stop(body.rows[0]);
    body.addEventListener("focusin", (event) => stop(event.target.closest("tr")));
    body.addEventListener("keydown", (event) => {
      const row = event.target.closest("tr");
      const next = { ArrowDown: row.nextElementSibling, ArrowUp: row.previousElementSibling,
        Home: body.rows[0], End: body.rows[body.rows.length - 1] }[event.key];
      if (!next) return;
      event.preventDefault();
      next.focus();
    });
    const value = (row, at) => {
      const text = heads[at].dataset.order ? row.dataset.leg : row.cells[at].textContent.trim();
      const number = Number.parseFloat(text.replace("\u2212", "-"));
      return { text, number, known: !["\u2013", ""].includes(text) };
    };
    const sort = (at, way) => {
      const numbers = [...body.rows].every((row) => {
        const cell = value(row, at);
        return !cell.known || Number.isFinite(cell.number);
      });
      const rows = [...body.rows].map((row) => ({ row, key: value(row, at) }));
      rows.sort((a, b) => {
        // What is not known comes last, either way.
        if (a.key.known !== b.key.known) return a.key.known ? -1 : 1;
        const order = numbers ? a.key.number - b.key.number : 0;
        return way * (order || a.key.text.localeCompare(b.key.text, "en", { numeric: true }));
      });
      for (const { row } of rows) body.append(row);
      heads.forEach((head, other) => {
        if (other === at) head.setAttribute("aria-sort", way > 0 ? "ascending" : "descending");
        else head.removeAttribute("aria-sort");
      });
    };
    heads.forEach((head, at) => {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () =>
        sort(at, head.getAttribute("aria-sort") === "ascending" ? -1 : 1));
    });
    heads[0].setAttribute("aria-sort", "ascending");
  }
  root.classList.add("scripted");
})();
