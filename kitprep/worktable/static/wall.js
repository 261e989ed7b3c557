// All elements of a kit as a wall of pictures, small ones a little larger than they are beside large ones.

import { afterPause, choices, el, ruled, select } from "./dom.js";
import { get } from "./server.js";
import { pictureOf, table } from "./state.js";
import { sizeText } from "./lengths.js";
import { openCloseup } from "./closeup.js";

// As on the contact sheet: CSS pixels to an element one inch long, and the power that brings sizes together.
const INCH = 64;
const FLATTENING = 0.75;
const LONGEST = 270;
const SHORTEST = 28;

const chosen = { kit: null, kind: "", words: "" };
let place;
let all = [];

export async function showElements(section, slug) {
  place = section;
  const kit = slug || chosen.kit;
  chosen.kit = kit === "every" || table.kit(kit) ? kit : (table.kits[0]?.kit ?? null);
  if (!table.kits.length) {
    place.replaceChildren(el("header", { class: "title" }, el("h1", { id: "elements-title" }, "No kit is on the shelf yet"),
      el("p", {}, el("a", { href: "#kits" }, "Bring your first kit in"))));
    return;
  }
  await readAll();
  draw();
  await fill();
}

async function readAll() {
  all = (await get(`/api/elements?kit=${chosen.kit === "every" ? "" : chosen.kit}`)).elements;
}

function draw() {
  const kit = table.kit(chosen.kit);
  const words = el("input", { type: "search", id: "find", value: chosen.words, placeholder: "lantern, moth …",
    autocomplete: "off", oninput: afterPause(150, () => {
      chosen.words = words.value;
      fill();
    }) });
  const kinds = new Set(all.map((element) => element.kind));
  const among = table.about.kinds.filter((kind) => kinds.has(kind));
  if (!among.includes(chosen.kind)) chosen.kind = "";
  place.replaceChildren(
    el("header", { class: "title" },
      el("h1", { id: "elements-title" }, kit ? kit.name : "Every kit"),
      el("p", {}, kit ? [kit.maker || "maker not recorded", kit.terms ? " · terms recorded" : " · terms not recorded"] : `${table.kits.length} kits`),
      table.kits.length > 1 ? kitChoice() : null),
    el("div", { class: "finding" },
      el("div", { class: "field" }, el("label", { for: "find" }, "Find"), words),
      choices("kind", "Kind", [["", "all"], ...among.map((kind) => [kind, kind])], chosen.kind, (kind) => {
        chosen.kind = kind;
        fill();
      })),
    el("p", { class: "pale", id: "found", "aria-live": "polite" }),
    el("div", { id: "wall" }));
}

function kitChoice() {
  const options = [...table.kits.map((kit) => [kit.kit, kit.name]), ["every", "Every kit"]];
  const input = select(options, chosen.kit, (slug) => { location.hash = `#elements/${slug}`; });
  input.id = "which-kit";
  return el("div", { class: "field inline" }, el("label", { for: "which-kit" }, "Kit"), input);
}

let asked = 0;

async function fill() {
  const query = new URLSearchParams({ kit: chosen.kit === "every" ? "" : chosen.kit, kind: chosen.kind, words: chosen.words });
  const mine = (asked += 1);
  const { elements } = await get(`/api/elements?${query}`);
  if (mine !== asked) return;
  const count = elements.length === 1 ? "1 element" : `${elements.length} elements`;
  document.getElementById("found").textContent = elements.length === all.length ? count : `${count} of ${all.length}`;
  const wall = document.getElementById("wall");
  if (!elements.length) {
    wall.replaceChildren(el("p", { class: "empty" }, all.length ? "Nothing on these pages answers to that. Words are looked for in what you call an element, its kind, its kit and its maker." :
      "Nothing was found on these pages. ", all.length ? "" : el("a", { href: `#pages/${chosen.kit}` }, "Draw a box around an element yourself.")));
    return;
  }
  const groups = Map.groupBy ? Map.groupBy(elements, pageId) : grouped(elements);
  wall.replaceChildren(...[...groups].map(([page, members]) => el("section", { class: "group", "aria-label": heading(page) },
    el("h2", {}, el("a", { href: `#pages/${page}`, title: "See this page" }, heading(page))),
    el("div", { class: "row" }, members.map(figure)))));
}

const pageId = (element) => element.id.split("-").slice(0, -1).join("-");

function grouped(elements) {
  const groups = new Map();
  for (const element of elements) groups.set(pageId(element), [...(groups.get(pageId(element)) ?? []), element]);
  return groups;
}

function heading(page) {
  const [slug, name] = page.split("/");
  const text = `page ${Number(name.slice(1))}`;
  return chosen.kit === "every" ? `${table.kit(slug)?.name ?? slug}, ${text}` : text;
}

function figure(element) {
  const [wide, tall] = element.size;
  const longest = Math.max(wide, tall);
  const drawn = Math.min(Math.max(INCH * longest ** FLATTENING, SHORTEST), LONGEST);
  const short = element.id.split("/")[1];
  const onList = table.list.piece.filter((piece) => piece.element === element.id).length;
  return el("button", { class: `specimen${element.unwanted ? " unwanted" : ""}`, type: "button", "data-id": element.id,
    onclick: () => openCloseup(element.id) },
    el("img", { src: pictureOf(element.id), alt: "", loading: "lazy", decoding: "async",
      style: { "--wide": `${(wide / longest) * drawn}`, "--tall": `${(tall / longest) * drawn}` } }),
    el("span", { class: "caption" }, el("b", {}, short), ` ${element.kind}`, el("br"),
      el("span", { class: "size" }, ruled(sizeText(element.size, table.list.unit))),
      element.words.length ? el("span", { class: "words" }, element.words.join(", ")) : null,
      element.note ? el("span", { class: "note" }, element.note) : null,
      el("span", { class: "note on-list" }, onList ? "on your list" : "")));
}

table.on("kept", () => {
  const on = new Set(table.list.piece.map((piece) => piece.element));
  for (const button of document.querySelectorAll(".specimen")) {
    button.querySelector(".on-list").textContent = on.has(button.dataset.id) ? "on your list" : "";
  }
});

/** Read the wall anew after an element was described. */
export async function refreshWall() {
  if (!place || place.hidden) return;
  await readAll();
  await fill();
}
