// Elements are made here, and all text in them is set as text: names from
// sheets, files and libraries may hold anything.

// el makes an element with attributes and children; a child that is no element
// becomes text, and one that is null, undefined or false is left out.
export function el(name, attributes = {}, ...children) {
  const e = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") e.addEventListener(key, value);
    else if (value === true) e.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) e.setAttribute(key, value);
  }
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false || child === "") continue;
    e.append(child instanceof Node ? child : keepUnits(String(child)));
  }
  return e;
}

// keepUnits puts a blank at which no line is broken between a number and its unit.
const keepUnits = (text) => text.replace(/(\d) (?=%|bases?\b|bp\b|points?\b|columns?\b)/g, "$1\u00a0");

// picture makes an element of a drawing that the program made. It is read as
// XML, in which nothing runs, and only drawings are taken.
export function picture(svg) {
  if (!svg) return null;
  const xml = svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ');
  const doc = new DOMParser().parseFromString(xml, "image/svg+xml");
  const root = doc.documentElement;
  if (root.nodeName !== "svg") return null;
  return document.adoptNode(root);
}

// field puts a label over a control.
export function field(label, control, grow) {
  return el("label", { class: grow ? "grow" : null }, label, control);
}

export function announce(text) {
  const said = document.getElementById("said");
  document.getElementById("failed").textContent = "";
  said.textContent = "";
  // A reader speaks a text again only when it has been another.
  setTimeout(() => { said.textContent = text; }, 30);
}

// forget takes away what was said.
export function forget() {
  for (const id of ["said", "failed"]) document.getElementById(id).textContent = "";
}

export function complain(text) {
  text = text.charAt(0).toUpperCase() + text.slice(1);
  const failed = document.getElementById("failed");
  document.getElementById("said").textContent = "";
  // What is said already is not spoken again.
  if (failed.textContent !== text) failed.textContent = text;
}

// warn says that inputs are others than those that were read, as long as they are.
export function warn(text) {
  const outdated = document.getElementById("outdated");
  if (outdated.textContent !== text) outdated.textContent = text;
}

export const kindWord = (kind) => (kind === "non_fungal" ? "not a fungus" : kind);

const signs = { look: "◆", unsure: "○", fine: "●" };

// verdictMark shows the verdict of a row as a word in a frame, with a sign.
export function verdictMark(row) {
  return el("span", { class: "verdict " + row.mark }, el("span", { "aria-hidden": "true" }, signs[row.mark]), " ", row.word);
}
