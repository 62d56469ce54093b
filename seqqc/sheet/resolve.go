package sheet

import (
	"fmt"
	"slices"
	"strings"
)

// outcome is what a name says about the voucher.
type outcome struct {
	voucher int // -1 where it does not tell
	sample  int // -1 where it does not tell
	matches []match
	// settled is true where no other source can help: the name fits several
	// vouchers, or a longer code than the sheet has.
	settled bool
	why     string // of voucher -1
	notes   []string
}

// resolve finds the voucher of a name.
//
// Matches of whole tokens that are not masked count. Of two where one lies
// inside the other the longer is meant. What is left must be of one voucher.
// A code that itself looks like a well, a date or a run number counts where
// nothing else in the name can be a code; one that looks like a primer never
// does, since nearly every file name carries a primer.
func (x *index) resolve(n *name) outcome {
	found := x.find(n)
	usable := slices.DeleteFunc(slices.Clone(found), func(m match) bool {
		return m.weak || slices.ContainsFunc(found, func(o match) bool {
			return !o.weak && (o.from <= m.from && m.to <= o.to) && (o.to-o.from > m.to-m.from || o.exact && !m.exact && o.to-o.from == m.to-m.from)
		})
	})
	whole := slices.DeleteFunc(slices.Clone(usable), func(m match) bool { return m.part })
	switch codes := x.codes(whole); {
	case len(codes) == 1:
		return x.settle(n, whole)
	case len(codes) > 1:
		return outcome{voucher: -1, sample: -1, settled: true, why: "the name fits " + list(codes)}
	case len(usable) > 0:
		return outcome{voucher: -1, sample: -1, settled: true,
			why: fmt.Sprintf("%s stands in the name only as part of what may be a longer code", list(x.codes(usable)))}
	}
	weak := slices.DeleteFunc(found, func(m match) bool { return !m.weak || m.part || n.primer(m) })
	switch codes := x.codes(weak); {
	case len(codes) == 0:
		return outcome{voucher: -1, sample: -1, why: "no voucher code of the sheet stands in the name"}
	case len(codes) > 1:
		return outcome{voucher: -1, sample: -1, settled: true, why: "the name fits " + list(codes)}
	case n.number(weak[0]):
		return outcome{voucher: -1, sample: -1,
			why: fmt.Sprintf("no voucher code of the sheet stands in the name (%s may be a well, date or run number)", codes[0])}
	}
	if owner := x.seqWell(n.well()); owner.voucher >= 0 && owner.voucher != weak[0].voucher {
		return outcome{voucher: -1, sample: -1, settled: true,
			why: fmt.Sprintf("the name is the code of %s, and the well of %s", x.vouchers[weak[0].voucher].Code, x.vouchers[owner.voucher].Code)}
	}
	out := x.settle(n, weak)
	out.notes = append(out.notes, fmt.Sprintf("tied by name to voucher %s, whose code looks like a well, date or run number", x.vouchers[out.voucher].Code))
	return out
}

// settle fills in the outcome of matches of one voucher.
func (x *index) settle(n *name, matches []match) outcome {
	out := outcome{voucher: matches[0].voucher, sample: -1, matches: matches}
	exact := false
	for _, m := range matches {
		exact = exact || m.exact
		if m.sample >= 0 {
			out.sample = m.sample
		}
	}
	if !exact {
		out.notes = append(out.notes, fmt.Sprintf("tied to %s by name with leading zeros or punctuation ignored", x.vouchers[out.voucher].Code))
	}
	if out.sample < 0 {
		out.sample = x.sampleToken(n, out)
	}
	return out
}

// sampleToken finds the sample whose name stands as whole tokens elsewhere in
// the name; -1 where none does, or several do.
func (x *index) sampleToken(n *name, o outcome) int {
	found := -1
	samples := x.vouchers[o.voucher].Samples
	for k, s := range samples {
		want := runs(s.ID)
		if len(want) == 0 || len(samples) == 1 || !n.carries(want, o.matches) {
			continue
		}
		if found >= 0 {
			return -1
		}
		found = k
	}
	return found
}

// carries reports whether tokens outside the matches, other than primers and
// dates, spell the runs.
func (n *name) carries(want []string, matches []match) bool {
	free := func(i int) bool {
		t := n.tokens[i]
		return t.mask != primerPart && t.mask != datePart &&
			!slices.ContainsFunc(matches, func(m match) bool { return m.from <= i && i < m.to })
	}
	for i := range n.tokens {
		for j := i; j < len(n.tokens) && free(j); j++ {
			if span := joinRuns(n.tokens[i : j+1]); runKey(span) == runKey(want) || n.tokens[i].mask == plain && looseKey(span) == looseKey(want) {
				return true
			}
		}
	}
	return false
}

// primer reports whether a match touches a primer.
func (n *name) primer(m match) bool {
	return slices.ContainsFunc(n.tokens[m.from:m.to], func(t token) bool { return t.mask == primerPart })
}

// codes gives the codes of the matches' vouchers once each, in sheet order.
func (x *index) codes(matches []match) []string {
	var at []int
	for _, m := range matches {
		at = append(at, m.voucher)
	}
	slices.Sort(at)
	var out []string
	for _, i := range slices.Compact(at) {
		out = append(out, x.vouchers[i].Code)
	}
	return out
}

// list joins codes for a message, at most five.
func list(codes []string) string {
	if n := len(codes); n > 5 {
		return strings.Join(codes[:5], ", ") + fmt.Sprintf(" and %d more", n-5)
	}
	if n := len(codes); n > 1 {
		return strings.Join(codes[:n-1], ", ") + " and " + codes[n-1]
	}
	return strings.Join(codes, "")
}

// seqWell gives the one sample whose sequencing well it is; its voucher is -1
// where there is none or several, as on two plates.
func (x *index) seqWell(well string) entry {
	found := entry{-1, -1}
	if well == "" {
		return found
	}
	for i, v := range x.vouchers {
		for k, s := range v.Samples {
			if s.SeqWell != well {
				continue
			}
			if found.voucher >= 0 {
				return entry{-1, -1}
			}
			found = entry{i, k}
		}
	}
	return found
}

// namesAnother reports whether a name has what looks like a code of this
// sheet's making, which the sheet lacks.
func (x *index) namesAnother(n *name) bool {
	for i, t := range n.tokens {
		if t.mask != plain {
			continue
		}
		if isNumber(t.text) && len(t.text) <= x.digits {
			return true
		}
		code := splitRuns(t.text)
		if i+1 < len(n.tokens) && n.tokens[i+1].mask == plain {
			code = joinRuns(n.tokens[i : i+2])
		}
		if len(code) > 1 && digit(code[1][0]) && x.prefixes[code[0]] {
			return true
		}
	}
	return false
}
