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
    e.append(child instanceof Node ? child : String(child));
  }
  return e;
}

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

export function complain(text) {
  document.getElementById("said").textContent = "";
  document.getElementById("failed").textContent = text;
}

// verdictMark shows a verdict as a word in a frame.
export function verdictMark(kind) {
  const look = ["conflict", "overgrowth", "non_fungal"], unsure = ["undetermined", "consistent"];
  const shape = look.includes(kind) ? " look" : unsure.includes(kind) ? " unsure" : "";
  return el("span", { class: "verdict" + shape }, kind.replaceAll("_", " "));
}
