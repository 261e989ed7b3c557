// Opens the table: reads what there is, then shows the part that the address names.

import { table } from "./state.js";
import { showKits } from "./kits.js";
import { showElements } from "./wall.js";
import { showPages } from "./pages.js";
import { showList } from "./list.js";
import { showSheets } from "./sheets.js";

const VIEWS = { kits: showKits, elements: showElements, pages: showPages, sheets: showSheets, list: () => {} };
const trouble = document.getElementById("trouble");

function shown() {
  const [view, ...rest] = decodeURIComponent(location.hash.slice(1)).split("/");
  if (view in VIEWS) return [view, rest];
  return [table.kits.length ? "elements" : "kits", []];
}

async function show() {
  const [view, rest] = shown();
  trouble.hidden = true;
  document.body.dataset.view = view;
  for (const link of document.querySelectorAll("nav a")) {
    if (link.dataset.view === view) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  for (const section of document.querySelectorAll("main > section")) section.hidden = section.id !== view;
  await VIEWS[view](document.getElementById(view), ...rest);
}

function complain(reason) {
  trouble.textContent = reason?.message ?? String(reason);
  trouble.hidden = false;
}

window.addEventListener("unhandledrejection", (event) => complain(event.reason));
window.addEventListener("hashchange", () => {
  show().catch(complain);
  window.scrollTo({ top: 0 });
});
table.on("kept", () => {
  const count = table.list.piece.length;
  document.getElementById("count-on-list").textContent = count ? ` (${count})` : "";
});

try {
  await table.open();
  showList(document.getElementById("list"));
  table.tell("kept");
  await show();
} catch (problem) {
  complain(problem);
}
document.body.dataset.ready = "true";
