// The list of vouchers.
import { el, field, verdictMark } from "./dom.js";

const orders = {
  sheet: ["as in the sheet", () => 0],
  attention: ["what needs attention first", (a, b) => b.attention - a.attention || b.doubts - a.doubts],
  doubts: ["open doubts", (a, b) => b.doubts - a.doubts],
  verdict: ["verdict", (a, b) => a.verdict.localeCompare(b.verdict)],
  code: ["voucher", (a, b) => a.code.localeCompare(b.code, undefined, { numeric: true })],
  field: ["name on the label", (a, b) => a.field_id.localeCompare(b.field_id)],
};

const shows = {
  all: ["all", () => true],
  attention: ["that need attention", (r) => r.attention],
  open: ["with open doubts", (r) => r.doubts > 0],
  undecided: ["without a decision", (r) => r.decided === 0],
  decided: ["with a decision", (r) => r.decided > 0],
  submit: ["marked for submission", (r) => r.submission === "submit"],
  hold: ["held back", (r) => r.submission === "hold"],
};

// What was chosen stays while the page is open.
const chosen = { text: "", order: "attention", show: "all" };

const kinds = { blank: "negative control", positive: "positive control" };

const marks = (r) => [
  r.doubts ? `${r.doubts} open ${r.doubts === 1 ? "doubt" : "doubts"}` : "",
  r.given, r.final ? "final name " + r.final : "",
  { submit: "for submission", hold: "held back" }[r.submission],
  r.identity ? r.identity + " identical" : "",
].filter(Boolean).join(" · ");

// visible gives the rows as they are filtered and sorted now.
export function visible(batch) {
  const words = chosen.text.toLowerCase().split(/\s+/).filter(Boolean);
  return batch.rows
    .filter((r) => (shows[chosen.show]?.[1] ?? ((x) => x.verdict === chosen.show))(r))
    .filter((r) => {
      const text = [r.code, r.field_id, r.dna, r.verdict, r.final, r.given, r.reason].join(" ").toLowerCase();
      return words.every((w) => text.includes(w));
    })
    .sort(orders[chosen.order][1]);
}

const row = (r) => el("li", {},
  el("a", { href: "#/v/" + encodeURIComponent(r.code), "data-key": "row-" + r.code },
    el("span", { class: "code" }, r.code),
    el("span", { class: "names" }, r.field_id || kinds[r.kind] || "no name on the label", r.dna && [" ", el("i", {}, "DNA: " + r.dna)]),
    verdictMark(r.verdict),
    el("span", { class: "marks" }, r.attention && el("b", {}, "needs attention "), marks(r))));

// showList fills main with the list.
export function showList(main, batch) {
  const list = el("ul", { class: "rows" });
  const count = el("p", { role: "status" });
  const draw = () => {
    const rows = visible(batch);
    list.replaceChildren(...rows.map(row));
    count.textContent = `${rows.length} of ${batch.rows.length} vouchers`;
  };
  const select = (name, label, choices) => field(label, el("select", {
    "data-key": name, change: (e) => { chosen[name] = e.target.value; draw(); },
  }, choices.map(([value, text]) => el("option", { value, selected: chosen[name] === value }, text))));
  const verdicts = batch.kinds.filter((k) => batch.rows.some((r) => r.verdict === k));
  main.replaceChildren(
    el("h1", { tabindex: "-1" }, "Vouchers of " + batch.name),
    el("p", { class: "soft" }, "Library: " + batch.library),
    el("div", { class: "tools", role: "search" },
      field("Filter (key /)", el("input", {
        type: "search", id: "filter", value: chosen.text, "data-key": "filter",
        input: (e) => { chosen.text = e.target.value; draw(); },
      })),
      select("show", "Show", [...Object.entries(shows).map(([v, [t]]) => [v, t]), ...verdicts.map((k) => [k, "verdict " + k.replaceAll("_", " ")])]),
      select("order", "Sort by", Object.entries(orders).map(([v, [t]]) => [v, t]))),
    count, list,
    batch.problems?.length ? el("details", {},
      el("summary", {}, `Remarks about the input (${batch.problems.length})`),
      el("ul", {}, batch.problems.map((p) => el("li", {}, `${p.file}: ${p.what}; ${p.hint}`)))) : "");
  draw();
}

// move puts the focus on the next row (by 1) or the one before (by -1).
export function move(main, by) {
  const links = [...main.querySelectorAll(".rows a")];
  const at = links.indexOf(document.activeElement);
  links[at < 0 ? 0 : Math.min(links.length - 1, Math.max(0, at + by))]?.focus();
}
