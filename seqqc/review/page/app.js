// The review page: which part is shown, keys, and changes made elsewhere.
import { awaitChange, decide, getBatch, getTrace, getVoucher, takeToken } from "./api.js";
import { announce, complain, el, forget, picture, warn } from "./dom.js";
import { move, showList, visible } from "./list.js";
import { showVoucher } from "./voucher.js";

const main = document.getElementById("main");
const who = document.getElementById("who");
const singleKeys = document.getElementById("single-keys");

let batch = null; // as last shown
let current = ""; // the code of the voucher shown, "" for the list
let changes = 0;  // the last change that is on the page
let working = 0;  // decisions that were sent and not answered
let doubt = "";   // the key of the card from which a trace was opened

const route = () => {
  const found = location.hash.match(/^#\/v\/(.*)$/);
  try {
    return found ? decodeURIComponent(found[1]) : "";
  } catch {
    return ""; // an address cut short leads to the list
  }
};

function neighbours(code) {
  const rows = visible(batch);
  const at = rows.findIndex((r) => r.code === code);
  return { before: at > 0 ? rows[at - 1].code : "", after: at >= 0 && at + 1 < rows.length ? rows[at + 1].code : "" };
}

// keep remembers what was typed and is not sent yet, and where the focus is;
// what it gives puts both back. Controls whose key begins with sent are left out:
// what was in them is written down.
function keep(sent) {
  const typed = [...main.querySelectorAll("input[data-key],textarea[data-key],select[data-key]")]
    .filter((e) => (e.tagName === "SELECT" ? !e.options[e.selectedIndex]?.defaultSelected && e.selectedIndex > 0 : e.value !== e.defaultValue))
    .filter((e) => !sent || !e.dataset.key.startsWith(sent))
    .map((e) => [e.dataset.key, e.value]);
  const traces = [...main.querySelectorAll(".trace[data-wanted]")].map((e) => [e.dataset.file, e.dataset.at]);
  const active = document.activeElement;
  const focus = active?.dataset?.key ?? active?.closest?.(".read")?.querySelector('[data-key$="-trace"]')?.dataset.key;
  return (wanted) => {
    const byKey = (key) => main.querySelector(`[data-key="${CSS.escape(key)}"]`);
    for (const [key, value] of typed) {
      const e = byKey(key);
      if (e) e.value = value;
    }
    for (const [file, at] of traces) openTrace(file, false, at);
    const key = wanted ?? focus;
    if (key) (byKey(key) ?? main.querySelector("h1")).focus({ preventScroll: wanted === undefined });
  };
}

// show draws what the address asks for. fresh is true where a person went there.
async function show(fresh) {
  const code = route();
  try {
    batch = await getBatch();
    changes = batch.changes;
    if (who.value === "") who.value = localStorage.getItem("forayseq-who") ?? batch.who;
    document.getElementById("where").replaceChildren("Review of " + batch.name);
    document.getElementById("cautions").replaceChildren(el("ul", {}, batch.cautions.map((c) => el("li", {}, c))));
    warn(batch.outdated);
    const view = code ? await getVoucher(code) : null;
    if (code !== route()) return; // gone on in the meantime
    const restore = fresh ? null : keep();
    const from = current;
    current = code;
    if (fresh) forget(); // it was about what was shown before
    document.title = (code || "Vouchers") + " – review of " + batch.name;
    if (view) showVoucher(main, view, neighbours(code), act, openTrace);
    else showList(main, batch);
    if (restore) restore();
    else { scrollTo(0, 0); begin(from); }
  } catch (error) {
    complain(error.message);
    if (batch && !fresh) return; // what is shown stays
    current = "";
    main.replaceChildren(el("h1", { tabindex: "-1" }, code && batch ? "Not here: " + code : "Not open"), batch && el("p", {}, el("a", { href: "#/" }, "All vouchers")) || "");
    main.querySelector("h1").focus();
  }
}

// begin puts the focus where reading begins: at the heading, and in the list at
// the voucher that one comes from.
function begin(from) {
  const row = from && !current && main.querySelector(`[data-key="${CSS.escape("row-" + from)}"]`);
  (row || main.querySelector("h1"))?.focus();
  if (row) row.scrollIntoView({ block: "center" });
}

// act sends a decision and shows what became of it; focus names what gets the
// focus then, sent begins the keys of the controls that it was made with.
async function act(decision, focus, sent) {
  localStorage.setItem("forayseq-who", who.value.trim());
  if (who.value.trim() === "") {
    complain("Say who decides: fill in your name at the top of the page.");
    who.focus();
    return;
  }
  working++;
  try {
    const { said, view } = await decide({ who: who.value.trim(), ...decision });
    changes = Math.max(changes, view.changes);
    warn(view.outdated);
    if (route() === view.row.code) {
      const restore = keep(sent);
      const at = batch.rows.findIndex((r) => r.code === view.row.code);
      batch.rows[at] = view.row;
      showVoucher(main, view, neighbours(view.row.code), act, openTrace);
      restore(focus === "next-card" ? nextCard() : focus);
    }
    announce(said + (view.outdated ? " It rests on files that were changed since: see the top of the page." : ""));
  } catch (error) {
    complain(error.message);
  } finally {
    working--;
  }
}

const nextCard = () => main.querySelector(".card:not(.done)")?.dataset.key ?? "doubts-title";

const traceOf = (file) => [...main.querySelectorAll(".trace")].find((e) => e.dataset.file === file);
const traceButton = (box) => box.parentElement.querySelector('button[data-key$="-trace"]');

// openTrace shows the whole trace of a read, the base at marked if one is given,
// or hides it again. It gives the piece with the mark.
async function openTrace(file, toggle = false, at) {
  const box = traceOf(file);
  if (!box) return null;
  if (box.dataset.wanted && toggle) {
    hideTrace(box);
    return null;
  }
  if (at !== undefined) box.dataset.at = at;
  box.dataset.wanted = "yes";
  try {
    const trace = await getTrace(current, file, box.dataset.at);
    if (!box.dataset.wanted) return null; // hidden again in the meantime
    box.replaceChildren(
      el("p", {}, "In the read's own direction", trace.turned ? "; in the contig it is turned over, so that A here is T there, C is G, and the last base comes first." : "."),
      ...trace.pieces.map((p) => el("figure", { tabindex: p.marked ? "-1" : null, class: p.marked ? "marked" : null },
        picture(p.picture), el("figcaption", {}, `${p.title}, ${p.kept}${p.marked ? "; the base in doubt is shaded" : ""}`))));
    box.hidden = false;
    traceButton(box).textContent = "Hide the whole trace";
    return box.querySelector(".marked");
  } catch (error) {
    complain(error.message);
    return null;
  }
}

function hideTrace(box) {
  delete box.dataset.wanted;
  delete box.dataset.at;
  box.hidden = true;
  box.replaceChildren();
  traceButton(box).textContent = "Show the whole trace";
}

// toTrace leads from a doubt to its base in the whole trace, or to the trace of
// the first read; from there it leads back.
async function toTrace(card) {
  const here = document.activeElement?.closest?.(".read")?.querySelector(".trace[data-wanted]");
  if (here) {
    hideTrace(here);
    const back = main.querySelector(`[data-key="${CSS.escape(doubt)}"]`) ?? traceButton(here);
    back.focus();
    back.scrollIntoView({ block: "start" });
    return;
  }
  const file = card?.dataset.trace ?? main.querySelector(".trace")?.dataset.file;
  const box = file && traceOf(file);
  if (!box || !traceButton(box)) return;
  doubt = card?.dataset.key ?? "";
  const to = (await openTrace(file, false, card?.dataset.place)) ?? traceButton(box);
  to.focus();
  to.scrollIntoView({ block: "center" });
}

// listen waits for changes, by this page or another, and shows them.
async function listen() {
  const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
  let away = false; // it does not answer
  for (;;) {
    try {
      const { changes: now, outdated } = await awaitChange(changes);
      warn(outdated);
      if (away) announce("The program answers again.");
      away = false;
      if (working > 0) await pause(200); // its answer brings the change
      else if (now !== changes) {
        await show(false);
        announce("Decisions made elsewhere were taken up.");
      }
    } catch (error) {
      away = true;
      complain(error.message);
      await pause(5000);
    }
  }
}

const keys = [
  ["/", "go to the filter of the list"],
  ["j or ↓, k or ↑", "in the list: next voucher, the one before"],
  ["n, p", "next doubt, the one before"],
  ["1 to 9", "give the answer with that number to the doubt in focus"],
  ["o", "leave the doubt in focus open"],
  ["t", "from a doubt to its base in the whole trace, and back"],
  ["u", "undo the last decision about this voucher"],
  ["], [", "next voucher, the one before"],
  ["l", "back to the list"],
  ["?", "show or hide these keys"],
];

function toggleKeys() {
  const box = document.getElementById("keys");
  box.hidden = !box.hidden;
  document.getElementById("keys-button").setAttribute("aria-expanded", String(!box.hidden));
}

// step puts the focus on the next doubt (by 1) or the one before (by -1).
function step(by) {
  const cards = [...main.querySelectorAll(".card")].filter((c) => c.checkVisibility());
  const at = cards.findIndex((c) => c.contains(document.activeElement));
  const card = cards[at < 0 ? (by > 0 ? 0 : cards.length - 1) : at + by];
  card?.focus();
  card?.scrollIntoView({ block: "start" });
}

function onKey(e) {
  if (e.ctrlKey || e.metaKey || e.altKey) return;
  const typing = e.target.matches("input:not([type=checkbox]),textarea,select");
  if (typing && e.key === "Escape") e.target.blur();
  if (typing) return;
  const arrows = { ArrowDown: 1, ArrowUp: -1 };
  if (arrows[e.key] && current === "" && e.target.closest(".rows")) {
    e.preventDefault();
    move(main, arrows[e.key]);
    return;
  }
  if (!singleKeys.checked) return;
  const card = document.activeElement?.closest?.(".card");
  const click = (selector) => (card ?? main).querySelector(selector)?.click();
  const go = (code) => { if (code) location.hash = "#/v/" + encodeURIComponent(code); };
  const press = {
    "/": () => document.getElementById("filter")?.focus(),
    "?": toggleKeys,
    j: () => current === "" && move(main, 1),
    k: () => current === "" && move(main, -1),
    n: () => step(1),
    p: () => step(-1),
    o: () => card && click('[data-answer="open"]'),
    t: () => toTrace(card),
    u: () => main.querySelector("[data-undo]")?.click(),
    "]": () => current && go(neighbours(current).after),
    "[": () => current && go(neighbours(current).before),
    l: () => { location.hash = "#/"; },
  }[e.key] ?? (/^[1-9]$/.test(e.key) && card ? () => click(`[data-answer="${e.key}"]`) : null);
  if (press) {
    e.preventDefault();
    press();
  }
}

takeToken();
document.getElementById("keys-body").replaceChildren(el("dl", {}, keys.map(([k, text]) => [el("dt", {}, k), el("dd", {}, text)])));
document.getElementById("keys-button").addEventListener("click", toggleKeys);
document.getElementById("who-form").addEventListener("submit", (e) => e.preventDefault());
document.getElementById("skip").addEventListener("click", (e) => { e.preventDefault(); main.focus(); });
singleKeys.checked = localStorage.getItem("forayseq-keys") !== "off";
singleKeys.addEventListener("change", () => localStorage.setItem("forayseq-keys", singleKeys.checked ? "on" : "off"));
document.addEventListener("keydown", onKey);
addEventListener("hashchange", () => {
  if (/^#token=/.test(location.hash)) takeToken();
  show(true);
});
await show(true);
if (batch) listen();
