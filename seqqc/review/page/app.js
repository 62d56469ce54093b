// The review page: which part is shown, keys, and changes made elsewhere.
import { awaitChange, decide, getBatch, getTrace, getVoucher, takeToken } from "./api.js";
import { announce, complain, el, picture } from "./dom.js";
import { move, showList, visible } from "./list.js";
import { showVoucher } from "./voucher.js";

const main = document.getElementById("main");
const who = document.getElementById("who");
const singleKeys = document.getElementById("single-keys");

let batch = null; // as last shown
let current = ""; // the code of the voucher shown, "" for the list
let changes = 0;  // the last change that is on the page
let working = 0;  // decisions that were sent and not answered

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
  const traces = [...main.querySelectorAll(".trace[data-wanted]")].map((e) => e.dataset.file);
  const focus = document.activeElement?.dataset?.key;
  return (wanted) => {
    const byKey = (key) => main.querySelector(`[data-key="${CSS.escape(key)}"]`);
    for (const [key, value] of typed) {
      const e = byKey(key);
      if (e) e.value = value;
    }
    for (const file of traces) openTrace(file);
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
    const view = code ? await getVoucher(code) : null;
    if (code !== route()) return; // gone on in the meantime
    const restore = fresh ? null : keep();
    current = code;
    if (fresh) document.getElementById("failed").textContent = ""; // it was about what was shown before
    document.title = (code || "Vouchers") + " – review of " + batch.name;
    if (view) showVoucher(main, view, neighbours(code), act, openTrace);
    else showList(main, batch);
    if (restore) restore();
    else { scrollTo(0, 0); main.querySelector("h1")?.focus(); }
  } catch (error) {
    complain(error.message);
    if (!batch) main.replaceChildren(el("h1", { tabindex: "-1" }, "Not open"));
  }
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
    if (route() === view.row.code) {
      const restore = keep(sent);
      const at = batch.rows.findIndex((r) => r.code === view.row.code);
      batch.rows[at] = view.row;
      showVoucher(main, view, neighbours(view.row.code), act, openTrace);
      restore(focus === "next-card" ? nextCard() : focus);
    }
    announce(said);
  } catch (error) {
    complain(error.message);
  } finally {
    working--;
  }
}

const nextCard = () => main.querySelector(".card:not(.done)")?.dataset.key ?? "doubts-title";

// openTrace shows the whole trace of a read, or hides it again.
async function openTrace(file, toggle = false) {
  const box = [...main.querySelectorAll(".trace")].find((e) => e.dataset.file === file);
  if (!box) return;
  const button = box.parentElement.querySelector('button[data-key$="-trace"]');
  if (box.dataset.wanted && toggle) {
    delete box.dataset.wanted;
    box.hidden = true;
    box.replaceChildren();
    button.textContent = "Show the whole trace";
    return;
  }
  box.dataset.wanted = "yes";
  try {
    const trace = await getTrace(current, file);
    if (!box.dataset.wanted) return; // hidden again in the meantime
    box.replaceChildren(...trace.pieces.map((p) => el("figure", {}, picture(p.picture), el("figcaption", {}, `${p.title}, ${p.kept}`))));
    box.hidden = false;
    button.textContent = "Hide the whole trace";
  } catch (error) {
    complain(error.message);
  }
}

// listen waits for changes, by this page or another, and shows them.
async function listen() {
  const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
  for (;;) {
    try {
      const now = (await awaitChange(changes)).changes;
      if (working > 0) await pause(200); // its answer brings the change
      else if (now !== changes) {
        await show(false);
        announce("Decisions made elsewhere were taken up.");
      }
    } catch (error) {
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
  ["t", "show or hide the whole trace of the doubt's read"],
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
    t: () => {
      const file = card?.dataset.trace ?? main.querySelector(".trace")?.dataset.file;
      const button = [...main.querySelectorAll(".read button")].find((b) => b.dataset.key === `read-${file}-trace`);
      if (button) { button.click(); button.focus(); button.scrollIntoView({ block: "start" }); }
    },
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
