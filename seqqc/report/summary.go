package report

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"forayseq/seqqc"
)

// summaryWidth is the width the summary is wrapped at: the smallest terminal
// in use.
const summaryWidth = 80

// maxListed bounds the lists below the attention list; problems.tsv and
// reads.tsv hold all.
const maxListed = 30

// WriteSummary prints what a coordinator reads first: the count of each
// verdict, the vouchers that need attention with the reason and the next step,
// what could not be read or tied, and the cautions.
func WriteSummary(w io.Writer, m *Model) error {
	p := printer{w: w}
	res := m.Result
	p.line("%s, %s, library %s (%s, %s)", seqqc.Count(len(res.Vouchers), "voucher"), seqqc.Count(len(res.Reads), "read"),
		res.Library.Name, seqqc.Count(res.Library.Records, "sequence"), seqqc.Count(res.Library.Genera, "genus"))
	p.line("")
	p.counts(m)
	if res.Power != "" {
		p.line("")
		p.wrapped("", "", SafeText(res.Power))
	}
	if len(m.Attention) > 0 {
		p.line("")
		p.line("Needs attention (%d)", len(m.Attention))
		for _, list := range alike(m.Attention) {
			p.attention(list)
		}
	}
	if len(m.Untied) > 0 {
		p.line("")
		p.line("Reads that belong to no voucher (%d): rename the file, or name it in reads.csv", len(m.Untied))
		for i, r := range m.Untied {
			if i == maxListed {
				p.line("  ... and %d more, in reads.tsv", len(m.Untied)-i)
				break
			}
			p.wrapped("  ", "    ", SafeText(r.File)+": "+SafeText(r.Untied))
		}
	}
	p.problems("Could not be used", untold(m))
	p.problems("Used with a doubt", m.Doubts)
	p.line("")
	for _, c := range res.Cautions {
		p.wrapped("", "", c)
	}
	return p.err
}

// untold gives the unread inputs less the reads that the list of those
// without a voucher has told of.
func untold(m *Model) []seqqc.Problem {
	told := map[string]bool{}
	for _, r := range m.Untied {
		told[r.File] = true
	}
	var out []seqqc.Problem
	for _, p := range m.Unread {
		if !told[p.File] {
			out = append(out, p)
		}
	}
	return out
}

type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

// counts prints the number of vouchers of each verdict, controls apart: of
// them nobody asked for a name.
func (p *printer) counts(m *Model) {
	row := func(n int, what, meaning string) {
		if n > 0 {
			p.line("  %4d  %-13s %s", n, what, meaning)
		}
	}
	for _, c := range m.Counts {
		n := c.Vouchers
		if c.Verdict == seqqc.Undetermined {
			n -= m.Controls
		}
		row(n, string(c.Verdict), verdictMeaning[c.Verdict])
	}
	row(m.Controls, "control", "blank or positive control; attention only where one fails")
}

// verdictMeaning says in a few words what each verdict is.
var verdictMeaning = map[seqqc.VerdictKind]string{
	seqqc.Agrees:       "the DNA has the field name",
	seqqc.Refines:      "the DNA names it more closely than the field name",
	seqqc.Consistent:   "the DNA tells only a broader group, and the field name is in it",
	seqqc.Renamed:      "only a name change parts the two",
	seqqc.Conflict:     "field name and DNA part",
	seqqc.Overgrowth:   "the DNA is of something that grew on the specimen",
	seqqc.NonFungal:    "the DNA is not of a fungus",
	seqqc.Undetermined: "no test was possible",
}

// attention tells of a voucher, or of several of which the same is to be said.
func (p *printer) attention(list []*seqqc.VoucherResult) {
	v := list[0]
	who := fmt.Sprintf("%s  %s", SafeText(v.Voucher.Code), fieldName(v))
	if len(list) > 1 {
		codes := make([]string, len(list))
		for i, o := range list {
			codes[i] = SafeText(o.Voucher.Code)
		}
		who = fmt.Sprintf("%d vouchers, %s", len(list), someOf(codes))
	}
	p.wrapped("  ", "    ", who+": "+headOf(v))
	p.wrapped("      ", "      ", SafeText(v.Verdict.Reason))
	p.wrapped("      > ", "        ", SafeText(v.Verdict.NextStep))
}

// fieldName is the name on the label, or that there is none.
func fieldName(v *seqqc.VoucherResult) string {
	if v.Voucher.FieldID == "" {
		return "(no field name)"
	}
	return SafeText(v.Voucher.FieldID)
}

func (p *printer) problems(title string, list []seqqc.Problem) {
	if len(list) == 0 {
		return
	}
	p.line("")
	p.line("%s (%d)", title, len(list))
	gathered := Gathered(list)
	for i, q := range gathered {
		if i == maxListed {
			p.line("  ... and %d more, in problems.tsv", len(gathered)-i)
			return
		}
		p.wrapped("  ", "    ", SafeText(ProblemText(q)))
	}
}

// ProblemText gives a problem as one line: where, what, and what to do.
func ProblemText(q seqqc.Problem) string {
	var b strings.Builder
	b.WriteString(q.File)
	if q.Line > 0 {
		fmt.Fprintf(&b, ", line %d", q.Line)
	}
	if q.Field != "" {
		fmt.Fprintf(&b, ", %s", q.Field)
	}
	if q.Offset > 0 {
		fmt.Fprintf(&b, ", byte %d", q.Offset)
	}
	fmt.Fprintf(&b, ": %s", q.What)
	if q.Hint != "" {
		fmt.Fprintf(&b, " (%s)", q.Hint)
	}
	return b.String()
}

// SafeText keeps control characters, which could move the cursor or hide text,
// off a terminal.
func SafeText(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == utf8.RuneError, r < ' ', r >= 0x7f && r < 0xa0, r >= 0x2028 && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
			return '?'
		}
		return r
	}, s)
}

// wrapped prints text broken at blanks, the first line after one indent and
// the rest after another.
func (p *printer) wrapped(first, rest, text string) {
	line, started := first, false
	for _, word := range unbroken(text) {
		if started && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > summaryWidth {
			p.line("%s", line)
			line, started = rest, false
		}
		if started {
			line += " "
		}
		line += word
		started = true
	}
	p.line("%s", line)
}

// unbroken splits text where a line may end: not between a number and its unit.
func unbroken(text string) []string {
	var out []string
	for _, word := range strings.Fields(text) {
		if n := len(out); n > 0 && strings.HasPrefix(word, "%") {
			out[n-1] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}
