// The list of what to make: pieces with size, copies and grade, the paper, and how it is cut.

import { el, field, grade, ruled, select } from "./dom.js";
import { post, Problem } from "./server.js";
import { haveGraded, known, pictureOf, sent, table } from "./state.js";
import { makeTheSheets } from "./sheets.js";
import { showPaper } from "./setup.js";

let pieces;
let said;

export function showList(place) {
  const title = el("input", { type: "text", id: "list-name", "aria-label": "Name of this list", placeholder: "Give it a name", autocomplete: "off",
    oninput: () => change({ title: title.value }) });
  pieces = el("ol", { class: "pieces" });
  said = el("div", { class: "said", "aria-live": "polite" });
  const setup = el("div", { class: "setup" });
  const make = el("button", { class: "main", type: "button", id: "make", onclick: () => makeTheSheets() }, "Make the sheets");
  place.replaceChildren(
    el("header", {}, el("h2", { id: "list-title" }, "To make"), title),
    said, pieces,
    el("div", { class: "adding" }, adder("Add a blank", blankForm), adder("Add a folded card", cardForm)),
    setup,
    el("div", { class: "keeping" }, loader(), el("button", { type: "button", class: "plain", onclick: save }, "Save this list"),
      el("button", { type: "button", class: "plain", onclick: () => table.clear() }, "Clear it")),
    el("div", { class: "making" }, make, el("div", { id: "making-said", "aria-live": "polite" })));
  const draw = () => {
    title.value = table.list.title;
    drawPieces();
    showPaper(setup, change);
  };
  table.on("kept", tellBefore);
  table.on("list", draw);
  table.on("wrong", drawPieces);
  draw();
}

function change(values) {
  Object.assign(table.list, values);
  table.keep({ quietly: true });
}

function tellBefore() {
  said.replaceChildren(table.before ? el("p", {}, `${table.before.why} `,
    el("button", { type: "button", class: "link", onclick: () => table.putBack() }, "Put it back as it was")) : "");
}

function say(text, wrong = true) {
  said.replaceChildren(el("p", { class: wrong ? "wrong" : "", role: wrong ? "alert" : undefined }, text));
}

// -------------------------------------------------------------------- pieces

function drawPieces() {
  document.getElementById("make").disabled = !table.list.piece.length;
  if (!table.list.piece.length) {
    pieces.replaceChildren(el("li", { class: "empty" }, "Nothing yet. Choose an element and say how large you want it, or load a list."));
    return;
  }
  pieces.replaceChildren(...table.list.piece.map(row));
}

function row(piece, index) {
  const size = field("Size", el("input", { type: "text", value: piece.size, autocomplete: "off", spellcheck: "false",
    oninput: () => set({ size: size.input.value }) }), { className: "size" });
  const copies = field("Copies", el("input", { type: "number", min: "1", max: "10000", value: String(piece.copies ?? 1),
    oninput: () => set({ copies: Number(copies.input.value) || copies.input.value }) }), { className: "small" });
  const fit = piece.element && field("Fit", select(table.about.fits.map((one) => [one, one]), piece.fit ?? "cover", (fit) => set({ fit })), { className: "small" });
  const verdict = el("div", { class: "verdict", id: `verdict-${index}`, "aria-live": "polite" });
  for (const one of [size, copies]) one.input.setAttribute("aria-describedby", verdict.id);
  const name = el("span", { class: "name" }, nameOf(piece));
  const node = el("li", { class: "piece" },
    el("div", { class: "who" }, likeness(piece), name, el("button", { type: "button", class: "remove", "aria-label": `Take ${nameOf(piece)} off the list`,
      onclick: () => remove(index) }, "×")),
    el("div", { class: "how" }, size, copies, fit ?? ""),
    verdict, more(piece, set, name));
  look();
  return node;

  function set(values) {
    Object.assign(piece, values);
    for (const [key, value] of Object.entries(values)) {
      if (value === "" && key !== "size") delete piece[key];
    }
    table.wrong = null;
    change({});
    look();
  }

  function look() {
    if (table.list.piece[index] !== piece) return;
    const unit = table.list.unit;
    const result = known(piece, unit);
    if (!result) {
      if (!verdict.hasChildNodes()) verdict.replaceChildren(el("p", { class: "pale" }, "Looking …"));
      haveGraded([{ ...piece }], unit, look);
      return;
    }
    const wrong = result.error ?? refusal(piece);
    mark(size.input, wrong && ["size", ""].includes(wrong.key ?? ""));
    mark(copies.input, wrong?.key === "copies");
    verdict.replaceChildren(...[
      wrong && el("p", { class: "wrong" }, wrong.text),
      !wrong && result.grade && el("p", {}, grade(result.grade), " ", ruled(result.sentence)),
      !wrong && !result.grade && el("p", { class: "pale" }, piece.score?.length ? `A blank, folded at ${piece.score.join(", ")} from its left edge.` : "A blank, cut from the paper itself."),
      ...(result.warnings ?? []).map((warning) => el("p", { class: "warn" }, warning.text)),
    ].filter(Boolean));
  }
}

function mark(input, wrong) {
  if (wrong) input.setAttribute("aria-invalid", "true");
  else input.removeAttribute("aria-invalid");
}

/** What was said of this piece when the sheets were last made, such as that it does not fit. */
const refusal = (piece) => (table.wrong && table.wrong.name === nameOf(piece) ? table.wrong : null);

export const nameOf = (piece) => piece.label || piece.element?.split("/").at(-1) || "blank";

const likeness = (piece) => piece.element && piece.element.includes("/")
  ? el("img", { src: pictureOf(piece.element), alt: "" })
  : el("span", { class: "blank", "aria-hidden": "true" });

function more(piece, set, name) {
  const label = field("Name", el("input", { type: "text", value: piece.label ?? "", autocomplete: "off", oninput: () => {
    set({ label: label.input.value });
    name.textContent = nameOf(piece);
  } }));
  const paper = field("Its own paper", el("input", { type: "text", value: piece.paper ?? "", autocomplete: "off", placeholder: "as the list",
    list: "papers", oninput: () => set({ paper: paper.input.value }) }));
  const bleed = field("Its own bleed", el("input", { type: "text", value: piece.bleed ?? "", autocomplete: "off", placeholder: piece.element ? "as the list" : "none",
    oninput: () => set({ bleed: bleed.input.value }) }));
  const turn = el("input", { type: "checkbox", checked: piece.turn ?? true, onchange: () => set({ turn: turn.checked ? "" : false }) });
  const folds = !piece.element && field("Fold lines", el("input", { type: "text", value: (piece.score ?? []).join(", "), autocomplete: "off", placeholder: "4 1/4 in",
    oninput: () => set({ score: foldsOf(folds.input.value) || "" }) }), { hint: "From its left edge, with commas between" });
  return el("details", { class: "more" }, el("summary", {}, "More"),
    el("div", { class: "pair" }, label, paper), el("div", { class: "pair" }, bleed, folds || focusOf(piece, set)),
    el("label", { class: "check" }, turn, " May be turned on the sheet"),
    piece.element ? el("p", { class: "below" }, "Fit: cover fills the size and cuts off what sticks out; inside shows all of it; stretch pulls it to the size.") : null);
}

function focusOf(piece, set) {
  if (!piece.element?.includes("/")) return null;
  const mark = el("i", { "aria-hidden": "true" });
  const point = () => piece.focus ?? [0.5, 0.5];
  const draw = () => {
    mark.style.setProperty("left", `${point()[0] * 100}%`);
    mark.style.setProperty("top", `${point()[1] * 100}%`);
  };
  const keep = (across, down) => {
    const within = (share) => Math.round(Math.min(1, Math.max(0, share)) * 100) / 100;
    set({ focus: [within(across), within(down)] });
    draw();
  };
  draw();
  const steps = { ArrowLeft: [-0.05, 0], ArrowRight: [0.05, 0], ArrowUp: [0, -0.05], ArrowDown: [0, 0.05] };
  return el("div", { class: "field" }, el("span", { class: "label" }, "Keep in view"),
    el("button", { type: "button", class: "focus", "aria-label": "What to keep in view when it covers its size; move it with the arrow keys",
      onclick: (event) => {
        if (!event.detail) return;
        const box = event.currentTarget.getBoundingClientRect();
        keep((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
      },
      onkeydown: (event) => {
        if (!steps[event.key]) return;
        event.preventDefault();
        keep(point()[0] + steps[event.key][0], point()[1] + steps[event.key][1]);
      } }, el("img", { src: pictureOf(piece.element), alt: "", loading: "lazy" }), mark));
}

const foldsOf = (text) => {
  const folds = text.split(",").map((part) => part.trim()).filter(Boolean);
  return folds.length ? folds : null;
};

function remove(index) {
  const rest = table.list.piece.filter((_, other) => other !== index);
  table.replaceList({ ...table.list, piece: rest }, `${nameOf(table.list.piece[index])} is off the list.`);
  said.querySelector("button").focus();
}

// ------------------------------------------------------- blanks, cards, files

function adder(text, makeForm) {
  const node = el("details", { class: "more" }, el("summary", {}, text));
  node.addEventListener("toggle", () => {
    if (node.open && node.childElementCount === 1) node.append(makeForm(() => { node.open = false; }));
  });
  return node;
}

function blankForm(close) {
  const label = field("Name", el("input", { type: "text", autocomplete: "off", placeholder: "card base" }));
  const size = field("Size", el("input", { type: "text", autocomplete: "off", placeholder: table.list.unit === "in" ? "8 1/2 x 5 1/2" : "210 x 148" }));
  const folds = field("Fold lines", el("input", { type: "text", autocomplete: "off", placeholder: table.list.unit === "in" ? "4 1/4" : "105" }),
    { hint: "From its left edge, with commas between; none if it is not folded" });
  const copies = field("Copies", el("input", { type: "number", min: "1", max: "10000", value: "1" }), { className: "small" });
  const add = async (event) => {
    event.preventDefault();
    const piece = { label: label.input.value.trim(), size: size.input.value.trim(), copies: Number(copies.input.value) || copies.input.value,
      ...(foldsOf(folds.input.value) ? { score: foldsOf(folds.input.value) } : {}) };
    const [result] = (await post("/api/check", { unit: table.list.unit, piece: sent({ piece: [piece] }).piece })).pieces;
    const wrong = result.error;
    size.wrong(wrong && ["size", ""].includes(wrong.key ?? "") ? wrong.text : "");
    folds.wrong(wrong?.key === "score" ? wrong.text : "");
    copies.wrong(wrong?.key === "copies" ? wrong.text : "");
    if (wrong) return;
    table.add(piece);
    for (const input of [label, size, folds]) input.input.value = "";
    close();
  };
  return el("form", { onsubmit: add }, el("div", { class: "pair" }, label, size), el("div", { class: "pair" }, folds, copies),
    el("button", { type: "submit" }, "Put the blank on your list"));
}

function cardForm(close) {
  const { cards, folds } = table.about;
  const metric = table.list.unit !== "in";
  const mine = cards.filter((card) => (card.unit !== "in") === metric);
  const card = field("Card", select(mine.map((one) => [one.name, `${one.name} (${one.front})`]), mine.find((one) => one.name === "A2")?.name ?? mine[0].name, () => {}));
  const style = field("Fold", select(folds.map((one) => [one, one]), "half", () => {}));
  const edge = field("Fold at", select([["side", "the side"], ["top", "the top"]], "side", () => {}));
  const mats = field("Mats", el("input", { type: "number", min: "0", max: "4", value: "1" }), { className: "small" });
  const copies = field("Cards", el("input", { type: "number", min: "1", max: "500", value: "1" }), { className: "small" });
  const told = el("p", { class: "below wrong", "aria-live": "polite" });
  const add = async (event) => {
    event.preventDefault();
    try {
      const made = await post("/api/card", { card: card.input.value, style: style.input.value, edge: edge.input.value, mats: mats.input.value, copies: copies.input.value });
      told.textContent = "";
      const unit = made.list.unit;
      const pieces = made.list.piece.map((piece) => ({ ...piece, paper: piece.paper ?? (unit === table.list.unit ? undefined : made.list.paper) }));
      table.list.piece.push(...pieces);
      table.keep();
      say(made.text, false);
      close();
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      told.textContent = problem.message;
    }
  };
  return el("form", { onsubmit: add }, card, el("div", { class: "pair" }, style, edge), el("div", { class: "pair" }, mats, copies), told,
    el("button", { type: "submit" }, "Put the card on your list"));
}

function loader() {
  const input = el("input", { type: "file", accept: ".toml", class: "unseen", id: "load-list", onchange: async () => {
    const [file] = input.files;
    try {
      const { list } = await post("/api/makelist/read", { name: file.name, text: await file.text() });
      table.replaceList(list, `${file.name} is loaded.`);
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      say(problem.message);
    }
    input.value = "";
  } });
  return el("label", { class: "button plain", for: "load-list" }, "Load a list", input);
}

export const fileName = (ending) => `${(table.list.title || "what to make").toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "")}${ending}`;

async function save() {
  try {
    const text = await post("/api/makelist/write", sent(table.list));
    const address = URL.createObjectURL(new Blob([text], { type: "application/toml" }));
    el("a", { href: address, download: fileName(".toml") }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    say(problem.message);
  }
}
