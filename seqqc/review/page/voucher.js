// The page of a voucher.
import { complain, el, field, kindWord, picture, verdictMark } from "./dom.js";

const stakes = {
  conclusion: "The verdict or its rank may change with the answer.",
  figures: "The identity changes with the answer, and nothing that follows from it.",
  outside: "The answer changes the sequence only: the place was not compared.",
};

const codes = {
  A: "A", C: "C", G: "G", T: "T", R: "A or G", Y: "C or T", M: "A or C", K: "G or T", S: "C or G", W: "A or T",
  B: "C, G or T", D: "A, G or T", H: "A, C or T", V: "A, C or G", N: "any", "-": "no base",
};

const codeWords = (code) => (code === "-" ? "no base" : code);

// showVoucher fills main. act(decision, focus, sent) sends a decision; focus
// names what gets the focus then, sent begins the keys of the controls that it
// was made with. openTrace(file, toggle) shows the whole trace of a read.
export function showVoucher(main, view, neighbours, act, openTrace) {
  const { row, verdict } = view;
  const code = row.code;
  const send = (decision, focus, sent) => act({ voucher: code, ...decision }, focus, sent);
  main.replaceChildren(
    el("nav", { class: "crumbs", "aria-label": "Vouchers" },
      el("a", { href: "#/" }, "All vouchers"),
      neighbours.before && el("a", { href: "#/v/" + encodeURIComponent(neighbours.before), rel: "prev" }, "Previous: " + neighbours.before),
      neighbours.after && el("a", { href: "#/v/" + encodeURIComponent(neighbours.after), rel: "next" }, "Next: " + neighbours.after)),
    el("h1", { tabindex: "-1" }, code + " ", el("span", { class: "soft" }, view.voucher.field_id)),
    el("p", {}, verdictMark(row), " ", row.given && el("b", {}, row.given)),
    el("p", { class: "reason" }, verdict.reason),
    verdict.next_step && el("p", { class: "next" }, el("b", {}, "Next step: "), verdict.next_step),
    causes(verdict.causes),
    el("dl", { class: "facts" }, (view.facts ?? []).map(([name, value]) => [el("dt", {}, name), el("dd", {}, value)])),
    view.problems?.length ? el("section", { class: "failed" },
      el("h2", {}, "Decisions that no longer apply"), el("ul", {}, view.problems.map((p) => el("li", {}, p)))) : "",
    doubts(view, send),
    wholeVoucher(view, send),
    reads(view, send, openTrace),
    hits(view.hits),
    samples(view.pictures),
    historyOf(view, send));
}

function causes(list) {
  if (!list?.length) return "";
  return el("details", {},
    el("summary", {}, "What may lie behind it: " + list[0].says),
    el("ol", {}, list.map((c) => el("li", {}, c.says, " ", c.next_step,
      c.for?.length ? el("ul", {}, c.for.map((t) => el("li", {}, "For: " + t))) : "",
      c.against?.length ? el("ul", {}, c.against.map((t) => el("li", {}, "Against: " + t))) : ""))));
}

function doubts(view, send) {
  const cards = view.cards ?? [];
  const open = cards.filter((c) => !c.settled && !c.answered);
  const rest = cards.filter((c) => !open.includes(c));
  return el("section", { "aria-labelledby": "doubts-title" },
    el("h2", { id: "doubts-title", tabindex: "-1", "data-key": "doubts-title" }, `Doubts (${open.length} open)`),
    cards.length ? el("figure", {}, picture(view.key)) : el("p", {}, view.pictures?.length ? "The reads leave no doubt." : "There is no sequence of which a base could be in doubt."),
    open.map((c) => cardOf(c, view, send)),
    rest.length ? el("details", { "data-key": "rest", open: rest.some((c) => c.answered) },
      el("summary", {}, `Answered, or settled by the evidence (${rest.length})`),
      rest.map((c) => cardOf(c, view, send))) : "");
}

function cardOf(c, view, send) {
  const key = cardKey(c);
  const place = { file: c.file, at: c.place };
  const why = el("input", { "data-key": key + "-why", maxlength: "1000" });
  const answer = (code) => send({ what: "base", ...place, code, why: why.value }, "next-card", key);
  const other = el("select", { "data-key": key + "-other" }, el("option", { value: "" }, "choose one"),
    Object.entries(codes).map(([value, text]) => el("option", { value }, value === text ? value : `${value} (${text})`)));
  const useOther = () => {
    if (other.value) { answer(other.value); return; }
    complain("Choose the code first.");
    other.focus();
  };
  const answerable = c.file !== "";
  return el("section", {
    class: "card" + (c.stake === "conclusion" ? " matters" : "") + (c.answered ? " done" : ""),
    id: c.id, tabindex: "-1", "data-key": key, "aria-labelledby": c.id + "-title", "aria-describedby": c.id + "-stake",
    "data-trace": c.file, "data-place": c.place,
  },
    el("h3", { id: c.id + "-title" }, c.question, c.sample_name ? ` (sample ${c.sample_name})` : "", c.part ? el("span", { class: "soft" }, " " + c.part) : ""),
    c.answered && el("p", { class: "answered" }, "Answered: " + c.answered, " ",
      el("button", { type: "button", "data-key": key + "-undo", click: () => send({ what: "undo", undoes: c.decision }, key) }, "Undo")),
    el("p", { class: "stake", id: c.id + "-stake" }, c.why || stakes[c.stake]),
    el("p", { class: "around" }, el("span", { class: "unseen" }, "The contig around it: "), c.before, el("b", {}, c.code), c.after),
    el("div", { class: "peaks-row" }, (c.pictures ?? []).map((svg, i) => {
      const strand = c.strands[i];
      const drawn = picture(svg);
      return drawn && el("figure", {}, drawn,
        el("figcaption", { class: "file" }, strand.file + (strand.complemented ? ", turned over" : "")));
    })),
    el("ul", {}, (c.says ?? []).map((t) => el("li", {}, t))),
    answerable ? [
      el("div", { class: "field" }, field("Why (if you like)", why, true)),
      el("ul", { class: "answers", "aria-label": "Answers" }, c.answers.map((a, i) => el("li", {},
        el("button", { type: "button", "data-key": `${key}-${a.code}`, "data-answer": i + 1, "aria-keyshortcuts": i < 9 ? i + 1 : null, click: () => answer(a.code) },
          el("span", {}, el("kbd", { "aria-hidden": "true" }, i + 1), " ", el("b", {}, codeWords(a.code)), codes[a.code] !== a.code && a.code !== "-" ? ` (${codes[a.code]})` : "", a.code === c.code ? " as it is" : ""),
          " ", a.says && el("small", {}, a.says)))),
      el("li", {}, el("button", { type: "button", "data-key": key + "-open", "data-answer": "open", "aria-keyshortcuts": "o", click: () => send({ what: "leave_open", ...place, why: why.value }, "next-card", key) },
        el("span", {}, el("kbd", { "aria-hidden": "true" }, "o"), " ", el("b", {}, "Leave open")), " ", el("small", {}, "looked at, and left as it is")))),
      el("div", { class: "field" },
        field("Another code", other),
        el("button", { type: "button", "data-key": key + "-use", click: useOther }, "Use this code")),
    ] : el("p", {}, "The reads are not at hand, so this cannot be answered here."));
}

// cardKey names a card by its place, which stays when others are answered.
const cardKey = (c) => `card-${c.sample}-${c.file}-${c.place}`;

function wholeVoucher(view, send) {
  const { row, verdict } = view;
  const why = el("textarea", { "data-key": "verdict-why", maxlength: "4000" });
  const kinds = ["agrees", "refines", "consistent", "renamed", "conflict", "overgrowth", "non_fungal", "undetermined"];
  const given = el("select", { "data-key": "verdict-given" }, el("option", { value: "" }, "choose one"),
    kinds.filter((k) => k !== verdict.verdict).map((k) => el("option", { value: k }, kindWord(k))));
  const overrule = () => {
    if (given.value === "") {
      complain("Choose the verdict that is right.");
      given.focus();
      return;
    }
    if (why.value.trim() === "") {
      complain("A verdict is overruled with a reason only: say why.");
      why.focus();
      return;
    }
    send({ what: "verdict", found: verdict.verdict, verdict: given.value, why: why.value }, "overrule", "verdict-");
  };
  const name = el("input", { "data-key": "final-name", value: row.final, list: "names", maxlength: "200", autocomplete: "off" });
  const note = el("input", { "data-key": "note", maxlength: "1000" });
  const submission = (value, text) => el("button", {
    type: "button", "data-key": "submission-" + value, "aria-pressed": row.submission === value ? "true" : "false",
    click: () => send({ what: "submission", submission: value }, "submission-" + value),
  }, text);
  return el("section", { "aria-labelledby": "decide-title" },
    el("h2", { id: "decide-title" }, "Decide about the voucher"),
    el("p", {}, "The program's verdict: ", verdictMark(row), row.given && [" ", el("b", {}, row.given), view.why && ": " + view.why]),
    el("p", {}, el("button", {
      type: "button", "data-key": "accept", "aria-pressed": row.given === "accepted" ? "true" : "false",
      click: () => send({ what: "verdict", found: verdict.verdict, verdict: verdict.verdict, why: why.value }, "accept", "verdict-"),
    }, "Accept the verdict")),
    el("div", { class: "field" },
      field("Overrule it with", given),
      field("Reason (needed to overrule)", why, true),
      el("button", { type: "button", "data-key": "overrule", click: overrule }, "Overrule")),
    el("form", { class: "field", submit: (e) => { e.preventDefault(); send({ what: "final_name", name: name.value }, "final-name", "final-name"); } },
      field("Final name", name, true),
      el("datalist", { id: "names" }, (view.names ?? []).map((n) => el("option", { value: n }))),
      el("button", { "data-key": "name-button" }, "Give this name")),
    el("div", { class: "field", role: "group", "aria-label": "Submission" },
      submission("submit", "Mark for submission"), submission("hold", "Hold back")),
    el("form", { class: "field", submit: (e) => { e.preventDefault(); send({ what: "note", why: note.value }, "note", "note"); } },
      field("Note", note, true), el("button", { "data-key": "note-button" }, "Add the note")));
}

function reads(view, send, openTrace) {
  return el("section", { "aria-labelledby": "reads-title" },
    el("h2", { id: "reads-title" }, "Reads"),
    (view.reads ?? []).length ? view.reads.map((r) => readOf(r, send, openTrace)) : el("p", {}, "No file is tied to this voucher."));
}

function readOf(r, send, openTrace) {
  const key = "read-" + r.file;
  const number = (name, value) => el("input", { type: "number", min: "1", max: String(r.bases), value: String(value), "data-key": `${key}-${name}` });
  const from = number("from", r.from), to = number("to", r.to);
  const aside = el("input", { "data-key": key + "-why", maxlength: "1000" });
  return el("div", { class: "read", role: "group", "aria-label": "Read " + r.file },
    el("p", {}, el("span", { class: "file" }, r.file), el("span", { class: "soft" }, " " + r.about)),
    !r.usable && el("p", {}, "Not used: " + r.why),
    r.bases > 0 && el("form", {
      class: "field",
      submit: (e) => { e.preventDefault(); send({ what: "kept_window", file: r.file, from: Number(from.value), to: Number(to.value) }, key + "-keep", key); },
    },
      field("Keep from base", from), field(`to base (of ${r.bases})`, to),
      el("button", { "data-key": key + "-keep" }, "Keep this stretch"),
      r.by_hand && el("button", { type: "button", "data-key": key + "-trim", click: () => send({ what: "undo", undoes: r.by_hand }, key + "-keep", key) }, "Back to the program's choice")),
    el("div", { class: "field" },
      r.set_aside
        ? el("button", { type: "button", "data-key": key + "-aside", click: () => send({ what: "undo", undoes: r.set_aside }, key + "-aside") }, "Use it again")
        : [field("Why set aside (if you like)", aside), el("button", { type: "button", "data-key": key + "-aside", click: () => send({ what: "set_aside", file: r.file, why: aside.value }, key + "-aside", key) }, "Set this read aside")],
      r.has_trace && el("button", { type: "button", "data-key": key + "-trace", click: () => openTrace(r.file, true) }, "Show the whole trace")),
    el("div", { class: "trace", "data-file": r.file, hidden: true }));
}

function hits(list) {
  if (!list?.length) return "";
  const head = (text, num) => el("th", { scope: "col", class: num ? "num" : null }, text);
  return el("section", { "aria-labelledby": "hits-title" },
    el("h2", { id: "hits-title" }, "Nearest references"),
    el("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": "Table of the nearest references" },
      el("table", {},
        el("thead", {}, el("tr", {}, head("Rank", true), head("Name"), head("Identity %", true), head("Coverage %", true), head("Reference"), head("Counts"))),
        el("tbody", {}, list.map((h) => el("tr", {},
          el("td", { class: "num" }, h.rank || "–"), el("td", {}, h.name),
          el("td", { class: "num" }, h.identity), el("td", { class: "num" }, h.coverage), el("td", {}, h.reference), el("td", {}, h.gate === "pass" ? "yes" : h.gate)))))));
}

function samples(list) {
  if (!list?.length) return "";
  const unmeasured = (p) => (p.unmeasured?.length ? ` (not measured for ${p.unmeasured.join(" and ")})` : "");
  return el("section", { "aria-labelledby": "samples-title" },
    el("h2", { id: "samples-title" }, "Sequence and identities in pictures"),
    list.map((p) => [p.title && el("h3", {}, p.title), el("div", { class: "peaks-row" },
      p.identity && el("figure", {}, el("figcaption", {}, "Identities, the thresholds, and how far this library's records lie apart" + unmeasured(p)), picture(p.identity)),
      el("figure", {}, el("figcaption", {}, "The contig and its reads, each with its quality as a strip from Q0 to Q50"), picture(p.contig)))]));
}

function historyOf(view, send) {
  const list = view.history ?? [];
  // Where a doubt is open again, its card gets the focus.
  const focus = (d) => {
    const card = (view.cards ?? []).find((c) => c.decision === d.id);
    return card ? cardKey(card) : "history-title";
  };
  return el("section", { "aria-labelledby": "history-title" },
    el("h2", { id: "history-title", tabindex: "-1", "data-key": "history-title" }, `Decisions so far (${list.length})`),
    list.length ? el("ol", { class: "history", reversed: true }, list.map((d) => el("li", {},
      el("span", { class: d.stands ? null : "undone" }, d.words), d.why && ": " + d.why, !d.stands && " (undone)",
      el("span", { class: "soft" }, ` by ${d.who}, `, el("time", { datetime: d.when }, new Date(d.when).toLocaleString())), " ",
      d.stands && el("button", { type: "button", "data-key": "undo-" + d.id, "data-undo": d.undo ? null : d.id, "aria-label": (d.undo ? "Take back: " : "Undo: ") + d.words, click: () => send({ what: "undo", undoes: d.id }, focus(d)) }, d.undo ? "Take back" : "Undo")))) : el("p", {}, "None."));
}
