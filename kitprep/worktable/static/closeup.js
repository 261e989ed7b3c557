// One element close up: what it is, how large it may be printed, and the way onto the list.

import { el, field, grade, ruled, select } from "./dom.js";
import { get, post, Problem } from "./server.js";
import { haveGraded, known, pictureOf, table } from "./state.js";
import { ownSize, sizeText } from "./lengths.js";
import { refreshWall } from "./wall.js";

const dialog = document.getElementById("closeup");
dialog.addEventListener("click", (event) => {
  if (event.target === dialog) dialog.close();
});

export async function openCloseup(id) {
  const [slug, short] = id.split("/");
  const kit = await get(`/api/kits/${slug}`);
  const page = kit.pages.find((one) => short.startsWith(`${one.page}-`));
  const element = page?.elements.find((one) => one.id === id);
  if (!element) throw new Problem({ text: `${short} is no longer on its page; load this page again.` });
  const unit = table.list.unit;
  dialog.replaceChildren(
    el("button", { class: "close", type: "button", "aria-label": "Close", onclick: () => dialog.close() }, "×"),
    el("div", { class: "portrait" }, el("img", { src: pictureOf(id), alt: `${short}, ${element.kind}` })),
    el("div", { class: "telling" },
      el("h2", { id: "closeup-title" }, element.words.length ? element.words.join(", ") : element.kind),
      el("p", { class: "pale" }, ruled(`${short} · ${sizeText(element.size, unit)} on its page at ${Math.round(page.ppi[0])} pixels per inch`),
        page.ppi_from === "assumed" ? " (assumed)" : "", " · ",
        el("a", { href: `#pages/${slug}/${page.page}`, onclick: () => dialog.close() }, "see its page")),
      sizing(element, unit),
      describing(element)));
  dialog.showModal();
  dialog.querySelector("#closeup-size").select();
}

function sizing(element, unit) {
  const size = field("Print it", el("input", { type: "text", id: "closeup-size", value: ownSize(element.size, unit),
    autocomplete: "off", spellcheck: "false", oninput: look }), { hint: "3 in wide, 80 mm tall, 4 x 2 1/2 in …" });
  const copies = field("Copies", el("input", { type: "number", id: "closeup-copies", min: "1", max: "10000", value: "1" }), { className: "small" });
  const said = el("div", { class: "verdict", "aria-live": "polite" });
  const add = el("button", { class: "main", type: "submit" }, "Put it on your list");
  look();

  function piece() {
    return { element: element.id, size: size.input.value.trim() };
  }

  // Told by its short name here, where its kit is plain.
  function tried() {
    return { ...piece(), label: element.id.split("/")[1] };
  }

  function look() {
    const result = known(tried(), unit);
    if (!result) {
      said.replaceChildren(el("p", { class: "pale" }, "Looking how sharp it prints …"));
      haveGraded([tried()], unit, look);
      return;
    }
    size.wrong(result.error?.text ?? "");
    add.disabled = Boolean(result.error);
    if (result.error) {
      said.replaceChildren();
      return;
    }
    said.replaceChildren(
      el("p", {}, grade(result.grade), " ", ruled(result.sentence)),
      el("dl", { class: "largest" }, [["crisp", result.crisp_up_to], ["fine", result.fine_up_to], ["soft", result.soft_up_to]]
        .map(([word, text]) => [el("dt", {}, `${word} up to`), el("dd", {}, ruled(text))])));
  }

  const put = (event) => {
    event.preventDefault();
    if (add.disabled) return;
    table.add({ ...piece(), copies: Number(copies.input.value) || copies.input.value });
    dialog.close();
  };
  return el("form", { class: "sizing", onsubmit: put }, el("div", { class: "pair" }, size, copies), said, add);
}

function describing(element) {
  const kind = select(table.about.kinds.map((one) => [one, one]), element.kind, () => {});
  const words = el("input", { type: "text", value: element.words.join(", "), autocomplete: "off", placeholder: "beekeeper, lantern" });
  const said = el("p", { class: "below", "aria-live": "polite" });
  const save = async (event) => {
    event.preventDefault();
    try {
      said.textContent = (await post("/api/describe", { id: element.id, kind: kind.value, words: words.value })).text;
      said.classList.remove("wrong");
      await refreshWall();
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      said.textContent = problem.message;
      said.classList.add("wrong");
    }
  };
  return el("details", { class: "more" }, el("summary", {}, "What it is"),
    el("form", { class: "pair", onsubmit: save }, field("Kind", kind, { className: "small" }),
      field("Words to find it by", words), el("button", { type: "submit" }, "Keep")), said);
}
