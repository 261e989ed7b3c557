// The finished sheets: pictures of them, how well they are used, and the files to print and cut by.

import { el, warnings } from "./dom.js";
import { finished, post, Problem } from "./server.js";
import { sent, table } from "./state.js";
import { fileName, nameOf } from "./list.js";
import { markWrong } from "./setup.js";

export function showSheets(place) {
  const made = table.sheets;
  if (!made) {
    place.replaceChildren(el("header", { class: "title" }, el("h1", { id: "sheets-title" }, "No sheets yet"),
      el("p", {}, "Put pieces on your list, then press “Make the sheets”: they are placed on as few sheets as can be, ready to print and cut.")));
    return;
  }
  const stale = made.of !== JSON.stringify(sent(table.list));
  const { answer } = made;
  place.replaceChildren(
    el("header", { class: "title" },
      el("h1", { id: "sheets-title", tabindex: "-1" }, answer.sheets.length === 1 ? "One sheet" : `${answer.sheets.length} sheets`),
      answer.lines.map((line) => el("p", {}, line))),
    stale ? el("p", { class: "stale" }, "The list has changed since. ", el("button", { type: "button", class: "link", onclick: () => makeTheSheets() }, "Make the sheets again")) : "",
    el("div", { class: "saving" },
      answer.pdfs.map((pdf) => linkToSheets(pdf, answer.pdfs.length > 1, made)),
      el("a", { class: "button", href: `${answer.guide}?as=${encodeURIComponent(made.name("-cut-guide.pdf"))}`, download: made.name("-cut-guide.pdf") }, "Save the cut guide (PDF)")),
    el("p", { class: "advice" }, el("b", {}, "Before you print: "), table.about.print_advice),
    warnings(answer.warnings) ?? "",
    el("div", { class: "sheets" }, answer.sheets.map((sheet) => figureOf(sheet, answer))),
    el("p", { class: "advice" }, el("b", {}, "Before you cut: "), table.about.blade_caution));
}

/** A print dialog takes one paper at a time, so each paper has a file of its own. */
function linkToSheets(pdf, several, made) {
  const name = made.name(several ? `-${pdf.paper}.pdf` : ".pdf");
  return el("a", { class: "button main", href: `${pdf.file}?as=${encodeURIComponent(name)}`, download: name },
    several ? `Save the sheets of ${pdf.paper} (PDF)` : "Save the sheets (PDF)");
}

function figureOf(sheet, answer) {
  const cuts = sheet.cuts.length ? ` · ${sheet.cuts.length} cuts` : "";
  const pieces = sheet.placements.length === 1 ? "1 piece" : `${sheet.placements.length} pieces`;
  const text = `Sheet ${sheet.number} of ${answer.sheets.length}`;
  return el("figure", {},
    el("a", { href: sheet.picture, target: "_blank", rel: "noopener", title: "See it larger" },
      el("img", { src: sheet.picture, alt: `${text}: ${sheet.placements.map((place) => place.label).join(", ")}` })),
    sheet.back_picture ? el("a", { href: sheet.back_picture, target: "_blank", rel: "noopener", title: "See the back larger" },
      el("img", { src: sheet.back_picture, alt: `The back of sheet ${sheet.number}` })) : "",
    el("figcaption", {}, el("b", {}, text), ` ${sheet.paper.name}`, el("br"), `${pieces}${cuts} · ${Math.round(sheet.used * 100)} % of the printable part used`));
}

table.on("kept", () => {
  const place = document.getElementById("sheets");
  if (!place.hidden && table.sheets) showSheets(place);
});

/** Have the sheets made and show them; what is wrong is told beside what caused it. */
export async function makeTheSheets() {
  const button = document.getElementById("make");
  const said = document.getElementById("making-said");
  const list = sent(table.list);
  table.wrong = null;
  markWrong(null);
  button.disabled = true;
  try {
    const answer = await finished(await post("/api/sheets", list), (work) => {
      const bar = el("progress", { max: String(Math.max(work.steps, 1)), "aria-label": work.doing });
      if (work.steps) bar.value = work.done;
      said.replaceChildren(el("p", {}, work.doing), bar);
    });
    const title = fileName("");
    table.sheets = { answer, of: JSON.stringify(list), name: (ending) => `${title}${ending}` };
    said.replaceChildren();
    if (location.hash === "#sheets") showSheets(document.getElementById("sheets"));
    else location.hash = "#sheets";
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    const piece = table.list.piece[problem.told.piece ?? -1];
    markWrong(problem.told);
    said.replaceChildren(el("p", { class: "wrong", role: "alert" }, piece ? `${nameOf(piece)}: ${problem.message}` : problem.message));
    table.wrong = problem.told.name ? problem.told : null;
    table.tell("wrong");
  } finally {
    button.disabled = !table.list.piece.length;
  }
}
