package sheet

import (
	"slices"
	"strings"

	"forayseq/seqqc"
)

// entry is something a file name may carry: a voucher's code, a code with a
// sample behind it, or a sample's own name.
type entry struct {
	voucher int
	// sample is the sample's index, -1 where the code alone is meant.
	sample int
}

// index finds vouchers by the codes in names.
type index struct {
	vouchers []seqqc.Voucher
	exact    map[string][]entry
	loose    map[string][]entry
	primers  map[string]primer
	// prefixes are the letters before the first number of the codes; suffixed
	// are the codes, less their letter, that end in a number and one letter;
	// digits is the greatest length of a code that is a number.
	prefixes map[string]bool
	suffixed map[string]bool
	digits   int
	longest  int // in runs
}

func newIndex(vouchers []seqqc.Voucher) *index {
	x := &index{vouchers: vouchers, exact: map[string][]entry{}, loose: map[string][]entry{},
		primers: map[string]primer{}, prefixes: map[string]bool{}, suffixed: map[string]bool{}}
	for _, p := range seqqc.Primers {
		x.published(p, false)
	}
	for _, p := range seqqc.Tails {
		x.published(p, true)
	}
	owners := map[string]map[int]bool{} // sample name -> vouchers
	for i, v := range vouchers {
		for _, s := range v.Samples {
			x.primer(s.PrimerForward, primer{name: s.PrimerForward, direction: seqqc.Forward})
			x.primer(s.PrimerReverse, primer{name: s.PrimerReverse, direction: seqqc.Reverse})
			k := runKey(runs(s.ID))
			if owners[k] == nil {
				owners[k] = map[int]bool{}
			}
			owners[k][i] = true
		}
	}
	for i, v := range vouchers {
		code := runs(v.Code)
		if len(code) == 0 {
			continue
		}
		x.insert(code, entry{i, -1})
		if merged := mergedRuns(code); len(merged) < len(code) {
			x.add(x.loose, looseKey(merged), entry{i, -1})
		}
		x.shape(code)
		for k, s := range v.Samples {
			id := runs(s.ID)
			if len(id) == 0 {
				continue
			}
			x.insert(joinRuns(append(tokens(v.Code), tokens(s.ID)...)), entry{i, k})
			// A laboratory may know only its own number of the extraction.
			if distinctive(id) && len(owners[runKey(id)]) == 1 {
				x.insert(id, entry{i, k})
			}
		}
	}
	return x
}

// distinctive reports whether a sample's name may stand for its voucher: four
// characters with letters and numbers, or five digits. "1" and "b" may not.
func distinctive(id []string) bool {
	s := strings.Join(id, "")
	return len(s) >= 5 && isNumber(s) || len(s) >= 4 && len(id) > 1
}

// primer is a primer by which a read may be named: a published one, or one
// that the sheet names.
type primer struct {
	name      string
	direction seqqc.Direction
	tail      bool
}

func (x *index) published(p seqqc.Primer, tail bool) {
	for _, word := range append([]string{p.Name}, p.Aliases...) {
		x.primer(word, primer{p.Name, p.Direction, tail})
	}
}

// primer makes a word known as a primer; the first meaning of a word stays. A
// number alone is no primer.
func (x *index) primer(word string, p primer) {
	key := primerKey(word)
	if _, ok := x.primers[key]; !ok && key != "" && !isNumber(key) {
		x.primers[key] = p
	}
}

func primerKey(word string) string {
	var key strings.Builder
	for _, t := range tokens(word) {
		key.WriteString(t.text)
	}
	return key.String()
}

func (x *index) insert(code []string, e entry) {
	x.longest = max(x.longest, len(code))
	x.add(x.exact, runKey(code), e)
	x.add(x.loose, looseKey(code), e)
}

func (x *index) add(m map[string][]entry, key string, e entry) {
	if !slices.Contains(m[key], e) {
		m[key] = append(m[key], e)
	}
}

// shape notes what codes look like, to know a code that is not in the sheet.
func (x *index) shape(code []string) {
	if !digit(code[0][0]) {
		x.prefixes[code[0]] = true
	} else if len(code) == 1 {
		x.digits = max(x.digits, len(code[0]))
	}
	if n := len(code); n > 1 && len(code[n-1]) == 1 && !digit(code[n-1][0]) {
		x.suffixed[looseKey(code[:n-1])] = true
	}
}

// match is a place in a name where a code stands.
type match struct {
	entry
	from, to int // tokens [from, to)
	exact    bool
	// weak is true where every token of it is masked.
	weak bool
	// part is true where it is, or may be, only a part of a longer code.
	part bool
}

// find gives all places of codes in a name.
func (x *index) find(n *name) []match {
	var out []match
	for i := range n.tokens {
		if n.tokens[i].join == joinGlue {
			continue
		}
		var span []string
		for j := i; j < len(n.tokens) && len(span) <= x.longest; j++ {
			span = joinRuns(n.tokens[i : j+1])
			entries, exact := x.exact[runKey(span)], true
			if len(entries) == 0 {
				entries, exact = x.loose[looseKey(span)], false
			}
			for _, e := range entries {
				m := match{entry: e, from: i, to: j + 1, exact: exact, weak: true}
				for _, t := range n.tokens[i : j+1] {
					// A14F is a code where the sheet has it, though A14 would be
					// a well and F a direction.
					m.weak = m.weak && t.mask != plain && t.join != joinGlue
				}
				m.part = x.partOfLonger(n, m, span)
				out = append(out, m)
			}
		}
	}
	return out
}

// partOfLonger reports whether the tokens beside a match may belong to its
// code. A hyphen binds; other punctuation does so between numbers, and where
// the sheet has codes of that shape.
func (x *index) partOfLonger(n *name, m match, span []string) bool {
	first, last := span[0], span[len(span)-1]
	if m.from > 0 {
		before := n.tokens[m.from-1]
		switch {
		case before.mask != plain:
			if before.group == n.tokens[m.from].group {
				return true // it would cut a date
			}
		case !digit(first[0]):
		case digit(before.text[len(before.text)-1]):
			return true // 12-1 is not 1
		case n.tokens[m.from].join == joinHyphen || x.prefixes[before.text]:
			return true // FC-1 is not 1
		}
	}
	if m.to == len(n.tokens) {
		return false
	}
	after := n.tokens[m.to]
	if after.mask != plain {
		if after.group == n.tokens[m.to-1].group {
			return true
		}
		// FC-12F is FC-12 forward, unless the sheet has FC-12A.
		return after.join == joinGlue && after.mask == directionPart && x.suffixed[looseKey(span)]
	}
	switch bound := after.join == joinHyphen; {
	case digit(after.text[0]) && digit(last[0]):
		return true // FC-12-3 is not FC-12
	case digit(after.text[0]): // a code of letters
		return bound || x.prefixes[last]
	case digit(last[0]):
		return bound && len(after.text) == 1 // FC-12-b may be another specimen
	}
	return false
}
