// What the page knows: the kits, and the list of what to make, which outlives a reload.

import { get, post, Problem } from "./server.js";
import { afterPause } from "./dom.js";

const fresh = () => ({ title: "", unit: "in", paper: "letter", cut: "trimmer", bleed: "1/16 in", gap: "0 in", piece: [] });

export const table = Object.assign(new EventTarget(), {
  about: null,
  kits: [],
  problems: {},
  list: fresh(),
  sheets: null,
  before: null,

  tell(name) {
    this.dispatchEvent(new Event(name));
  },
  on(name, act) {
    this.addEventListener(name, act);
  },
  async open() {
    this.about = await get("/api/about");
    const kept = localStorage.getItem(this.place());
    if (kept) this.list = { ...fresh(), ...JSON.parse(kept) };
    await this.readKits();
  },
  async readKits() {
    const answer = await get("/api/kits");
    this.kits = answer.kits;
    this.problems = answer.problems;
    this.tell("kits");
  },
  kit(slug) {
    return this.kits.find((kit) => kit.kit === slug);
  },
  place() {
    return `kitprep list ${this.about.shelf}`;
  },
  /** Keep the list; whoever shows it is told unless it changed it itself. */
  keep({ quietly = false, before = null } = {}) {
    this.before = before;
    localStorage.setItem(this.place(), JSON.stringify(this.list));
    if (!quietly) this.tell("list");
    this.tell("kept");
  },
  add(piece) {
    this.list.piece.push({ copies: 1, ...piece });
    this.keep();
  },
  replaceList(list, why) {
    const before = { list: this.list, why };
    this.list = { ...fresh(), ...list, piece: list.piece ?? [] };
    this.keep({ before });
  },
  putBack() {
    this.list = this.before.list;
    this.keep();
  },
  clear() {
    this.replaceList({ ...this.list, title: "", piece: [] }, "The list is empty.");
  },
});

/** The list as it is sent: what was left empty is left out, and falls to what kitprep does by itself. */
export function sent(list) {
  const given = (values) => Object.fromEntries(Object.entries(values).filter(([, value]) => value !== "" && value !== null));
  const margin = typeof list.margin === "string" && list.margin.includes(",") ? sides(list.margin) : list.margin;
  return { ...given({ ...list, margin }), piece: list.piece.map(given) };
}

/** Four margins typed in a row; a unit after the last goes for all. */
function sides(text) {
  const parts = text.split(",").map((part) => part.trim());
  const unit = (parts.at(-1).match(/[a-z"″]+$/i) ?? [""])[0];
  return parts.map((part) => (/[a-z"″]$/i.test(part) ? part : `${part} ${unit}`.trim()));
}

export const pictureOf = (id) => {
  const [slug, element] = id.split("/");
  return `/api/pictures/${slug}/elements/${element}?v=${encodeURIComponent(table.kit(slug)?.imported ?? "")}`;
};

export const pageOf = (slug, page, small = "") =>
  `/api/pictures/${slug}/pages/${page}?${small && "small&"}v=${encodeURIComponent(table.kit(slug)?.imported ?? "")}`;

// ------------------------------------------------------------------ grades

const graded = new Map();
let wanted = new Map();
const key = (piece, unit) => JSON.stringify([piece, unit]);

/** What is known of a piece by now, if anything. */
export const known = (piece, unit) => graded.get(key(piece, unit));

/** Have pieces graded; `told` is called once they are. */
export function haveGraded(pieces, unit, told) {
  for (const piece of pieces) if (!known(piece, unit)) wanted.set(key(piece, unit), { piece, unit });
  waiting.add(told);
  askForGrades();
}

export function forgetGrades() {
  graded.clear();
}

const waiting = new Set();
const askForGrades = afterPause(220, async () => {
  const asked = [...wanted.values()];
  const listeners = [...waiting];
  wanted = new Map();
  waiting.clear();
  for (const unit of new Set(asked.map((one) => one.unit))) {
    const pieces = asked.filter((one) => one.unit === unit).map((one) => one.piece);
    try {
      const answer = await post("/api/check", { unit, piece: sent({ piece: pieces }).piece });
      answer.pieces.forEach((result, index) => graded.set(key(pieces[index], unit), result));
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      pieces.forEach((piece) => graded.set(key(piece, unit), { error: problem.told }));
    }
  }
  listeners.forEach((told) => told());
});
