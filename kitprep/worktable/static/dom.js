// Building blocks of the page: elements, sentences, waiting until typing stops.

/** Make an element: attributes, `on…` listeners and plain properties by name, then its children. */
export function el(tag, given = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name === "style") for (const [key, text] of Object.entries(value)) node.style.setProperty(key, text);
    else if (["value", "checked", "disabled", "textContent", "hidden"].includes(name)) node[name] = value;
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

const SVG = "http://www.w3.org/2000/svg";

/** Make an SVG element of attributes and children. */
export function svg(tag, given = {}, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(given)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value);
  }
  node.append(...children);
  return node;
}

let named = 0;

/** An input with its label; `hint` and what is wrong stand below it and are read with it. */
export function field(label, input, { hint = "", className = "" } = {}) {
  const id = input.id || `field-${(named += 1)}`;
  input.id = id;
  const below = el("span", { id: `${id}-below`, class: "below", "aria-live": "polite" }, hint);
  input.setAttribute("aria-describedby", below.id);
  const node = el("div", { class: `field ${className}` }, el("label", { for: id }, label), input, below);
  node.input = input;
  node.wrong = (text) => {
    below.textContent = text || hint;
    below.classList.toggle("wrong", Boolean(text));
    if (text) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };
  return node;
}

/** A choice among a few, as radio buttons that read as words. */
export function choices(name, legend, options, chosen, onchange, className = "") {
  const buttons = options.map(([value, text]) =>
    el("label", {}, el("input", { type: "radio", name, value, checked: value === chosen,
      onchange: () => onchange(value) }), el("span", {}, text)));
  return el("fieldset", { class: `choices ${className}` }, el("legend", {}, legend), buttons);
}

export function select(options, chosen, onchange) {
  const node = el("select", { onchange: () => onchange(node.value) },
    options.map(([value, text]) => el("option", { value }, text)));
  node.value = chosen;
  return node;
}

/** Sentences a person should know, one below the other; nothing where there are none. */
export function warnings(list) {
  return list.length ? el("ul", { class: "warnings" }, list.map((warning) => el("li", {}, warning.text))) : null;
}

/** A grade as four marks and its word, so that it can be told without colour. */
export function grade(word) {
  const full = { crisp: 4, fine: 3, soft: 2, blurry: 1 }[word] ?? 0;
  const marks = [1, 2, 3, 4].map((n) => el("i", { class: n <= full ? "full" : "" }));
  return el("span", { class: `grade ${word}` }, el("span", { class: "marks", "aria-hidden": "true" }, marks), word);
}

/** A text in which fractions are set as fractions: 4 3/4 in. */
export function ruled(text) {
  return text.split(/(\d+\/\d+)/).map((part, index) => (index % 2 ? el("span", { class: "fraction" }, part) : part));
}

/** Call once, after so many milliseconds without another call. */
export function afterPause(ms, act) {
  let timer;
  return (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => act(...given), ms);
  };
}
