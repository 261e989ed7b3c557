// What the list is printed on and cut with: paper, what the printer cannot reach, bleed, gap, trimmer.

import { choices, el, field, select } from "./dom.js";
import { get, post, Problem } from "./server.js";
import { table } from "./state.js";

const fields = {};

/** Draw the choices for the list as a whole; `change` keeps what is changed. */
export async function showPaper(place, change) {
  const list = table.list;
  const text = (label, key, more, options) => {
    const input = el("input", { type: "text", value: list[key] ?? "", autocomplete: "off", ...more,
      oninput: () => change({ [key]: input.value.trim() }) });
    return (fields[key] = field(label, input, options));
  };
  const paper = text("Paper", "paper", { list: "papers" });
  const names = el("datalist", { id: "papers" }, table.about.papers.flatMap(({ name, size: [wide, tall] }) =>
    [name, ...(wide === tall ? [] : [`${name} landscape`])].map((value) => el("option", { value }))));
  const unit = choices("unit", "Speak in", [["in", "inches"], ["mm", "millimetres"]], list.unit, (value) => {
    change({ unit: value });
    table.tell("list");
  });
  const cut = choices("cut", "Cut with", [["trimmer", "a trimmer"], ["scissors", "scissors"]], list.cut, (value) => change({ cut: value }));
  const bleed = text("Bleed", "bleed", {}, { hint: "Picture beyond the cut" });
  const gap = text("Gap", "gap", {}, { hint: "Between two pieces" });
  const trimmer = text("Longest cut", "trimmer", { placeholder: "12 in" }, { hint: "Of your trimmer" });
  const reach = el("div", { class: "reach" });
  place.replaceChildren(el("h3", {}, "On paper"), el("div", { class: "pair" }, paper, unit), names, reach, cut,
    el("details", { class: "more" }, el("summary", {}, "Bleed, gap and trimmer"), el("div", { class: "thirds" }, bleed, gap, trimmer)));
  await drawReach(reach, change);
}

async function drawReach(place, change) {
  const { printers } = await get("/api/printers");
  const list = table.list;
  const margin = el("input", { type: "text", value: list.margin ?? "", placeholder: "1/4 in", autocomplete: "off",
    oninput: () => change({ margin: margin.value.trim() }) });
  fields.margin = field("Margin", margin, { hint: "What your printer cannot reach: one length, or left, top, right, bottom" });
  const known = [["", "any printer"], ...printers.map((printer) => [printer.name, printer.name])];
  if (list.printer && !printers.some((printer) => printer.name === list.printer)) known.push([list.printer, list.printer]);
  const which = select(known, list.printer ?? "", (name) => {
    change(name ? { printer: name, margin: undefined } : { printer: undefined });
    drawReach(place, change);
  });
  fields.printer = field("Printer", which, { hint: printers.find((printer) => printer.name === list.printer)?.text ?? "" });
  place.replaceChildren(el("div", { class: "pair" }, fields.printer, list.printer ? "" : fields.margin), list.printer ? "" : keeper(margin, change));
}

function keeper(margin, change) {
  const name = field("Keep this margin for a printer", el("input", { type: "text", placeholder: "kitchen printer", autocomplete: "off" }));
  const keep = async () => {
    if (!name.input.value.trim()) return name.wrong("Give the printer a name first.");
    try {
      const parts = margin.value.split(",").map((part) => part.trim());
      const value = margin.value.trim() ? (parts.length > 1 ? parts : parts[0]) : null;
      const kept = await post("/api/printers", { name: name.input.value, margin: value });
      change({ printer: kept.name, margin: undefined });
      table.tell("list");
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      name.wrong(problem.message);
    }
  };
  return el("details", { class: "more" }, el("summary", {}, "Keep it by name"), el("div", { class: "pair" }, name, el("button", { type: "button", onclick: keep }, "Keep")));
}

/** Show what is wrong beside the choice it is about; false where it is about none of them. */
export function markWrong(told) {
  for (const one of Object.values(fields)) one.wrong("");
  const key = { UnknownPaper: "paper", MarginsLeaveNothing: "margin", TrimmerTooShort: "trimmer", NoSuchPrinter: "printer" }[told?.cause] ?? told?.key;
  const at = told && told.piece == null ? fields[key] : null;
  if (!at) return false;
  at.closest("details")?.setAttribute("open", "");
  at.wrong(told.text);
  return true;
}
