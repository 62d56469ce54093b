// The list of vouchers.
import { el, field, kindWord, verdictMark } from "./dom.js";

const orders = {
  sheet: ["as in the sheet", () => 0],
  attention: ["what needs attention first", (a, b) => b.attention - a.attention || (a.attention ? a.gravity - b.gravity : 0) || b.doubts - a.doubts],
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

// The columns of the list, and the order that a heading sorts by.
const columns = [["code", "Voucher"], ["field", "Label and DNA"], ["verdict", "Verdict"], ["doubts", "Open doubts"]];

// What was chosen stays while the page is open.
const chosen = { text: "", order: "attention", show: "all", down: false };

const kinds = { blank: "negative control", positive: "positive control" };

const marks = (r) => [
  r.given, r.final ? "final name " + r.final : "",
  { submit: "for submission", hold: "held back" }[r.submission],
  r.identity ? r.identity + " identical" : "",
].filter(Boolean).join(" · ");

// visible gives the rows as they are filtered and sorted now.
export function visible(batch) {
  const compare = orders[chosen.order][1];
  const words = chosen.text.toLowerCase().split(/\s+/).filter(Boolean);
  return batch.rows
    .filter((r) => (shows[chosen.show]?.[1] ?? ((x) => x.verdict === chosen.show))(r))
    .filter((r) => {
      const text = [r.code, r.field_id, r.dna, r.word, r.final, r.given, r.reason].join(" ").toLowerCase();
      return words.every((w) => text.includes(w));
    })
    .sort((a, b) => (chosen.down ? compare(b, a) : compare(a, b)));
}

// The roles are told as well: a browser takes a table for none where it is laid
// out otherwise, as on a narrow screen.
const cell = (...children) => el("td", { role: "cell" }, children);

const row = (r) => el("tr", { role: "row" },
  el("th", { role: "rowheader", scope: "row" }, el("a", { href: "#/v/" + encodeURIComponent(r.code), "data-key": "row-" + r.code }, r.code)),
  cell(r.field_id || kinds[r.kind] || "no name on the label", r.dna && [" ", el("i", {}, "DNA: " + r.dna)],
    el("span", { class: "marks" }, r.attention && el("b", {}, "needs attention "), marks(r))),
  cell(verdictMark(r)),
  el("td", { role: "cell", class: r.doubts ? "doubts" : "doubts none" }, r.doubts, el("span", { class: "unit" }, r.doubts === 1 ? " open doubt" : " open doubts")));

// heading sorts by its column, and the other way round when it does already.
// Doubts begin with the most.
const heading = ([order, text], sort) => {
  const here = chosen.order === order;
  const up = chosen.down === (order === "doubts");
  return el("th", { role: "columnheader", scope: "col", "aria-sort": here ? (up ? "ascending" : "descending") : null },
    el("button", { type: "button", "data-key": "sort-" + order, click: () => sort(order, here && !chosen.down) },
      text, el("span", { class: "way", "aria-hidden": "true" }, here ? (up ? "▲" : "▼") : "")));
};

// showList fills main with the list.
export function showList(main, batch) {
  const head = el("tr", { role: "row" }), list = el("tbody", { role: "rowgroup" });
  const table = el("table", { class: "rows", role: "table", "aria-label": "Vouchers" }, el("thead", { role: "rowgroup" }, head), list);
  const count = el("p", { role: "status" });
  const draw = () => {
    const rows = visible(batch);
    head.replaceChildren(...columns.map((c) => heading(c, sort)));
    list.replaceChildren(...rows.map(row));
    count.textContent = batch.rows.length ? `${rows.length} of ${batch.rows.length} vouchers` : "The sheet has no voucher that could be used.";
  };
  const sort = (order, down) => {
    chosen.order = order;
    chosen.down = down;
    draw();
    main.querySelector("[data-key=order]").value = order;
    head.querySelector(`[data-key="sort-${order}"]`)?.focus();
  };
  const select = (name, label, choices) => field(label, el("select", {
    "data-key": name, change: (e) => { chosen[name] = e.target.value; if (name === "order") chosen.down = false; draw(); },
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
      select("show", "Show", [...Object.entries(shows).map(([v, [t]]) => [v, t]), ...verdicts.map((k) => [k, "verdict " + kindWord(k)])]),
      select("order", "Sort by", Object.entries(orders).map(([v, [t]]) => [v, t]))),
    count, table,
    el("details", {}, el("summary", {}, "About the library"), el("p", {}, "SHA-256 of the uncompressed FASTA: " + batch.sha256)),
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
