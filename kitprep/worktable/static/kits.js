// The kits on the shelf, and bringing one in.

import { el, field, warnings } from "./dom.js";
import { finished, post, Problem, put } from "./server.js";
import { forgetGrades, pageOf, table } from "./state.js";

let tray;

export async function showKits(place) {
  await table.readKits();
  tray ??= makeTray();
  const broken = Object.entries(table.problems).map(([slug, text]) => ({ text: `Kit ${slug} cannot be read: ${text}` }));
  place.replaceChildren(
    el("header", { class: "title" },
      el("h1", { id: "kits-title" }, table.kits.length ? "Your kits" : "Bring your first kit in"),
      el("p", {}, table.kits.length ? `${table.kits.length} on the shelf` :
        "What you bought comes apart into its papers, tags, stamps and figures; the files you bought stay as they are.")),
    warnings(broken) ?? "",
    ...(table.kits.length ? [shelf(), tray] : [tray]),
  );
}

const shelf = () => el("div", { class: "shelf" }, table.kits.map(kitOf));

function kitOf(kit) {
  const pages = Array.from({ length: Math.min(kit.pages, 4) }, (_, index) => `p${String(index + 1).padStart(2, "0")}`);
  const day = new Date(kit.imported).toLocaleDateString(undefined, { day: "numeric", month: "long", year: "numeric" });
  const count = (number, noun) => `${number} ${noun}${number === 1 ? "" : "s"}`;
  return el("article", { class: "kit" },
    el("a", { class: "fan", href: `#elements/${kit.kit}`, tabindex: "-1", "aria-hidden": "true" },
      pages.map((page) => el("img", { src: pageOf(kit.kit, page, "small"), alt: "" }))),
    el("div", {},
      el("h2", {}, el("a", { href: `#elements/${kit.kit}` }, kit.name)),
      el("p", {}, kit.maker ? `by ${kit.maker}` : "maker not recorded"),
      el("p", { class: "pale" },
        el("a", { href: `#pages/${kit.kit}` }, count(kit.pages, "page")), ` · ${count(kit.elements, "element")} · here since ${day}`),
      terms(kit)));
}

function terms(kit) {
  if (!kit.terms) {
    return el("p", { class: "warn" }, "Terms of use not recorded; look at where you bought it, and bring it in again with them.");
  }
  const text = el("pre", {}, "…");
  return el("details", { class: "terms", ontoggle: async () => {
    const response = await fetch(`/api/kits/${kit.kit}`);
    text.textContent = (await response.json()).terms;
  } }, el("summary", {}, "Terms of use"), text);
}

// ------------------------------------------------------------ bringing one in

function makeTray() {
  const name = field("Name of the kit", el("input", { type: "text", autocomplete: "off" }));
  const maker = field("Its maker", el("input", { type: "text", autocomplete: "off" }));
  const termsText = field("Terms of use", el("textarea", { rows: "2" }), { hint: "Found by itself where the kit has them in a text file." });
  const size = field("Size of each page", el("input", { type: "text", autocomplete: "off", placeholder: "letter, A4, 12 x 12 in" }));
  const ppi = field("Pixels per inch", el("input", { type: "text", inputmode: "numeric", autocomplete: "off" }));
  const password = field("Password", el("input", { type: "password", autocomplete: "off" }));
  const whole = el("input", { type: "checkbox" });
  const files = el("input", { type: "file", multiple: true, class: "unseen", id: "kit-files",
    accept: ".zip,.pdf,.jpg,.jpeg,.png,.tif,.tiff,.webp,.txt",
    onchange: () => bringIn([...files.files].map((file) => ({ file, path: file.name }))) });
  const said = el("div", { class: "said", "aria-live": "polite" });
  const more = el("details", { class: "more" }, el("summary", {}, "Say more about it"),
    el("div", { class: "pair" }, size, ppi), el("div", { class: "pair" }, password,
      el("label", { class: "check" }, whole, " Keep each page whole")), termsText);
  const node = el("form", { class: "tray", onsubmit: (event) => event.preventDefault() },
    el("h2", {}, "Bring a kit in"),
    el("p", {}, "Drop its ZIP, its folder or its pages here, or ",
      el("label", { for: "kit-files", class: "button" }, "choose files", files), "."),
    el("p", { class: "pale" }, "ZIP, PDF, JPEG, PNG, TIFF or WebP. A name given first is kept with it."),
    el("div", { class: "pair" }, name, maker), more, said);

  let sentBefore = null;

  async function bringIn(found) {
    files.value = "";
    if (!found.length) return;
    node.classList.add("busy");
    try {
      const { upload } = await post("/api/uploads");
      for (const [index, { file, path }] of found.entries()) {
        progress(`Taking in ${file.name}`, index, found.length);
        await put(`/api/uploads/${upload}/${path.split("/").map(encodeURIComponent).join("/")}`, file);
      }
      sentBefore = upload;
      await importFiles();
    } catch (problem) {
      fail(problem);
    } finally {
      node.classList.remove("busy");
    }
  }

  async function importFiles() {
    const begun = await post("/api/imports", { upload: sentBefore, name: name.input.value, maker: maker.input.value,
      terms: termsText.input.value, page_size: size.input.value, ppi: ppi.input.value,
      password: password.input.value, whole: whole.checked });
    const report = await finished(begun, (work) =>
      progress(`${work.doing}${work.last ? ` · ${work.last}` : ""}`, work.done, work.steps));
    sentBefore = null;
    for (const input of [name, maker, termsText, size, ppi, password]) input.input.value = "";
    whole.checked = false;
    forgetGrades();
    await showKits(node.closest("section"));
    succeed(report);
  }

  function progress(text, done, steps) {
    const bar = el("progress", { max: String(Math.max(steps, 1)), "aria-label": text });
    if (steps) bar.value = done;
    said.replaceChildren(el("p", {}, text), bar);
  }

  function succeed(report) {
    const found = report.pages.flatMap((page) => page.elements).filter((element) => !element.unwanted).length;
    const text = report.known ? `${report.name} is on the shelf already; ${report.changes}.` :
      `${report.name} is on the shelf: ${report.pages.length} ${report.pages.length === 1 ? "page" : "pages"}, ${found} elements.`;
    said.replaceChildren(el("p", {}, el("b", {}, text), " ", el("a", { href: `#elements/${report.kit}` }, "See its elements")),
      warnings(report.warnings) ?? "");
  }

  function fail(problem) {
    if (!(problem instanceof Problem)) throw problem;
    const again = sentBefore && el("button", { type: "button", onclick: () => importFiles().catch(fail) }, "Try again");
    said.replaceChildren(el("p", { class: "wrong", role: "alert" }, problem.message), again ?? "");
    const at = { LockedFile: password, UnknownPaper: size, BadOption: ppi }[problem.told.cause];
    if (at) {
      more.open = true;
      at.input.focus();
    }
  }

  catchDrops(node, bringIn);
  return node;
}

function catchDrops(node, bringIn) {
  const over = (event) => {
    if (![...event.dataTransfer.types].includes("Files")) return;
    event.preventDefault();
    node.classList.add("over");
  };
  node.addEventListener("dragover", over);
  node.addEventListener("dragenter", over);
  node.addEventListener("dragleave", () => node.classList.remove("over"));
  node.addEventListener("drop", async (event) => {
    event.preventDefault();
    node.classList.remove("over");
    const entries = [...event.dataTransfer.items].map((item) => item.webkitGetAsEntry()).filter(Boolean);
    await bringIn((await Promise.all(entries.map((entry) => filesIn(entry)))).flat());
  });
  // A file dropped beside the tray must not replace the page.
  for (const kind of ["dragover", "drop"]) window.addEventListener(kind, (event) => event.preventDefault());
}

async function filesIn(entry, before = "") {
  const path = `${before}${entry.name}`;
  if (entry.isFile) return [{ file: await new Promise((done, fail) => entry.file(done, fail)), path }];
  const reader = entry.createReader();
  const found = [];
  for (;;) {
    const some = await new Promise((done, fail) => reader.readEntries(done, fail));
    if (!some.length) break;
    found.push(...some);
  }
  return (await Promise.all(found.map((inner) => filesIn(inner, `${path}/`)))).flat();
}
