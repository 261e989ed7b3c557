// A page with the outlines of its elements drawn over it, and mending: a box, joining, dropping, taking back.

import { choices, el, field, svg } from "./dom.js";
import { get, post, Problem } from "./server.js";
import { forgetGrades, pageOf, table } from "./state.js";
import { sizeText } from "./lengths.js";
import { openCloseup } from "./closeup.js";

const CLICK = 5; // CSS pixels a pointer may stray and still be a click

let place;
let kit;
let page;
const selected = new Set();
let told = "";

export async function showPages(section, slug, name) {
  place = section;
  const wanted = slug || kit?.kit || table.kits[0]?.kit;
  if (!wanted) {
    place.replaceChildren(el("header", { class: "title" }, el("h1", { id: "pages-title" }, "No kit is on the shelf yet"),
      el("p", {}, el("a", { href: "#kits" }, "Bring your first kit in"))));
    return;
  }
  kit = await get(`/api/kits/${wanted}`);
  const before = page && `${page.page} ${slug}`;
  page = kit.pages.find((one) => one.page === (name ?? page?.page)) ?? kit.pages[0];
  if (`${page.page} ${slug}` !== before) {
    selected.clear();
    told = "";
  }
  draw();
}

function draw() {
  place.replaceChildren(
    el("header", { class: "title" }, el("h1", { id: "pages-title" }, kit.name),
      el("p", {}, `Page ${Number(page.page.slice(1))} of ${kit.pages.length} · ${page.file} · ${Math.round(page.ppi[0])} pixels per inch`,
        page.ppi_from === "assumed" ? ", assumed" : "")),
    kit.pages.length > 1 ? el("nav", { class: "leaves", "aria-label": "Pages of this kit" }, kit.pages.map((one) =>
      el("a", { href: `#pages/${kit.kit}/${one.page}`, "aria-current": one === page ? "page" : undefined },
        el("img", { src: pageOf(kit.kit, one.page, "small"), alt: "" }), `page ${Number(one.page.slice(1))}`))) : "",
    el("div", { class: "mending", id: "mending" }),
    sheet());
  tools();
}

// -------------------------------------------------------------------- tools

function tools() {
  const chosen = page.elements.filter((element) => selected.has(element.id));
  const names = chosen.map((element) => element.id.split("/")[1]);
  const act = (text, needs, doing) => el("button", { type: "button", disabled: !needs, onclick: doing }, text);
  const one = chosen.length === 1 ? chosen[0] : null;
  document.getElementById("mending").replaceChildren(
    el("div", { class: "tools" },
      el("button", { type: "button", id: "draw", "aria-pressed": String(drawing), onclick: () => {
        drawing = !drawing;
        place.querySelector(".leaf").classList.toggle("drawing", drawing);
        tools();
      } }, "Draw a box"),
      act("Join", chosen.length > 1, () => mend("join", { ids: chosen.map((element) => element.id) })),
      act("Drop", chosen.length > 0, () => mend("drop", { ids: chosen.map((element) => element.id) })),
      act("Describe or print", one, () => openCloseup(one.id)),
      el("button", { type: "button", id: "undo", onclick: () => mend("undo", { kit: kit.kit }) }, "Undo"),
      el("p", { class: "pale", "aria-live": "polite" }, told ||
        (names.length ? `Chosen: ${names.join(", ")}.` : "Choose outlines to join, drop or describe them. Drag across the page to take a new element."))),
    one ? divider(one) : "",
    typing(),
    again());
}

function divider(element) {
  const at = field("Divide it at", el("input", { type: "text", autocomplete: "off", placeholder: "2 in" }), { hint: `It is ${sizeText(element.size, table.list.unit)}` });
  let level = false;
  const way = choices("way", "From its", [["left", "left edge"], ["top", "top edge"]], "left", (value) => { level = value === "top"; });
  const go = (event) => {
    event.preventDefault();
    mend("divide", { id: element.id, at: at.input.value, level }, (text) => at.wrong(text));
  };
  return el("details", { class: "more" }, el("summary", {}, "Divide it in two"),
    el("form", { class: "thirds divide", onsubmit: go }, at, way, el("button", { type: "submit" }, "Divide")));
}

function typing() {
  const sides = ["left", "top", "width", "height"].map((side) => [side, field(side, el("input", { type: "text", autocomplete: "off", placeholder: "1 in" }), { className: "small" })]);
  const go = (event) => {
    event.preventDefault();
    const box = Object.fromEntries(sides.map(([side, node]) => [side, node.input.value]));
    mend("crop", { page: `${kit.kit}/${page.page}`, ...box, snap: snap.checked }, (text) => sides[0][1].wrong(text));
  };
  return el("details", { class: "more" }, el("summary", {}, "Type a box instead of drawing it"),
    el("form", { class: "thirds", onsubmit: go }, sides.map(([, node]) => node), el("button", { type: "submit" }, "Take it")),
    el("label", { class: "check" }, snap, " Go to the nearest edges"));
}

function again() {
  const gap = field("What lies nearer is one thing", el("input", { type: "text", autocomplete: "off", placeholder: "1/16 in" }));
  const [rows, columns] = ["rows", "columns"].map((name) =>
    field(`A grid of so many ${name}`, el("input", { type: "text", inputmode: "numeric", autocomplete: "off" })));
  const whole = el("input", { type: "checkbox" });
  const go = (event) => {
    event.preventDefault();
    const hints = { gap: gap.input.value, rows: rows.input.value, columns: columns.input.value, whole: whole.checked };
    mend("split", { page: `${kit.kit}/${page.page}`, ...hints }, (text) => gap.wrong(text));
  };
  return el("details", { class: "more" }, el("summary", {}, "Split the page again"),
    el("form", { class: "thirds again", onsubmit: go }, gap, rows, columns, el("button", { type: "submit" }, "Split again")),
    el("label", { class: "check" }, whole, " The page is one paper"));
}

const snap = el("input", { type: "checkbox", checked: true });

async function mend(what, given, wrong) {
  try {
    const answer = await post(`/api/${what}`, given);
    told = answer.text;
    selected.clear();
    forgetGrades();
    await table.readKits();
    kit = await get(`/api/kits/${kit.kit}`);
    page = kit.pages.find((one) => one.page === page.page);
    const [changed] = answer.changes;
    if (changed && changed.page !== `${kit.kit}/${page.page}`) page = kit.pages.find((one) => changed.page.endsWith(`/${one.page}`));
    const added = answer.changes.flatMap((change) => change.added);
    if (added.length === 1) selected.add(added[0].id);
    draw();
    document.getElementById("undo").focus({ preventScroll: true });
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    if (wrong) return wrong(problem.message);
    told = "";
    tools();
    document.querySelector(".tools p").replaceWith(el("p", { class: "wrong", role: "alert" }, problem.message));
  }
}

// --------------------------------------------------------- the page itself

let drawing = false;

function sheet() {
  const [wide, tall] = page.size_px;
  const band = svg("rect", { class: "band", width: 0, height: 0 });
  const over = svg("svg", { viewBox: `0 0 ${wide} ${tall}`, role: "group", "aria-label": "Elements on this page" },
    ...page.elements.map(outline), band);
  const numbers = page.elements.map((element) => el("span", { class: "number", "aria-hidden": "true",
    style: { left: `${(element.box_px[0] / wide) * 100}%`, top: `${(element.box_px[1] / tall) * 100}%` } }, element.id.split("-").at(-1)));
  const node = el("div", { class: `leaf${drawing ? " drawing" : ""}`, style: { "aspect-ratio": `${wide} / ${tall}` } },
    el("img", { src: pageOf(kit.kit, page.page), alt: `Page ${Number(page.page.slice(1))} of ${kit.name}`, draggable: "false" }), over, numbers);
  followPointer(over, band);
  return node;
}

function outline(element) {
  const path = [element.outline_px, ...element.holes_px].map((points) => `M${points.map((point) => point.join(" ")).join("L")}Z`).join("");
  const chosen = selected.has(element.id);
  const choose = () => {
    if (selected.has(element.id)) selected.delete(element.id);
    else selected.add(element.id);
    told = "";
    group.setAttribute("aria-checked", String(selected.has(element.id)));
    group.classList.toggle("chosen", selected.has(element.id));
    tools();
  };
  const group = svg("g", { class: `outline${chosen ? " chosen" : ""}${element.unwanted ? " unwanted" : ""}`, role: "checkbox", tabindex: 0,
    "aria-checked": String(chosen), "aria-label": `${element.id.split("/")[1]}, ${element.kind}, ${sizeText(element.size, table.list.unit)}`,
    onkeydown: (event) => {
      if (event.key !== " " && event.key !== "Enter") return;
      event.preventDefault();
      choose();
    } },
    svg("path", { class: "halo", d: path }), svg("path", { class: "line", d: path }));
  group.addEventListener("choose", choose);
  return group;
}

function followPointer(over, band) {
  let from = null;
  const at = (event) => {
    const box = over.getBoundingClientRect();
    const share = (value, start, length) => Math.min(1, Math.max(0, (value - start) / length));
    return [share(event.clientX, box.left, box.width) * page.size_px[0], share(event.clientY, box.top, box.height) * page.size_px[1]];
  };
  const boxTo = (event) => {
    const to = at(event);
    return [0, 1].map((axis) => Math.round(Math.min(from.at[axis], to[axis]))).concat([0, 1].map((axis) => Math.round(Math.max(from.at[axis], to[axis]))));
  };
  const strayed = (event) => Math.hypot(event.clientX - from.x, event.clientY - from.y) > CLICK;
  over.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    from = { at: at(event), x: event.clientX, y: event.clientY, on: event.target.closest?.(".outline") };
    if (event.pointerType === "mouse" || drawing) over.setPointerCapture(event.pointerId);
  });
  over.addEventListener("pointermove", (event) => {
    if (!from || !(event.pointerType === "mouse" || drawing) || !strayed(event)) return;
    const [left, top, right, bottom] = boxTo(event);
    for (const [name, value] of Object.entries({ x: left, y: top, width: right - left, height: bottom - top })) band.setAttribute(name, value);
  });
  over.addEventListener("pointerup", (event) => {
    if (!from) return;
    const box = boxTo(event);
    const [moved, on] = [strayed(event), from.on];
    from = null;
    if (moved) mend("crop", { page: `${kit.kit}/${page.page}`, box_px: box, snap: snap.checked });
    else on?.dispatchEvent(new Event("choose"));
  });
  over.addEventListener("pointercancel", () => {
    from = null;
    band.setAttribute("width", 0);
  });
}
