package refs

import (
	"slices"
	"unicode/utf8"
)

// leastRespelt is the length, in letters, of the shortest genus that is ever
// taken for a slip of the pen: in shorter ones a letter is too much of the
// name.
const leastRespelt = 6

// Respell repairs a slip of the pen in the genus of a field name: one letter
// missing, doubled, wrong, or two neighbours in the wrong order. It does so
// only where the genus as written is in no list and exactly one genus of all
// lists is that near; what came of it has Respelt set. A genus that is in a
// list is never touched, however near another is (Lepista and Lepiota).
func (t *Taxonomy) Respell(n Name) Name {
	if t == nil || n.Genus == "" || utf8.RuneCountInString(n.Genus) < leastRespelt || t.RankOf(n.Genus) != NoRank {
		return n
	}
	found := ""
	for name, l := range t.byName() {
		if l.Deepest() != Genus || !slipApart(n.Genus, name) {
			continue
		}
		if found != "" {
			return n
		}
		found = name
	}
	if found != "" {
		n.Genus, n.Respelt = found, true
	}
	return n
}

// slipApart reports whether two words differ by exactly one slip: a letter
// put in, left out or replaced, or two neighbours exchanged (Damerau 1964,
// Communications of the ACM 7: 171-176, DOI 10.1145/363958.363994).
func slipApart(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	if len(y)-len(x) > 1 || a == b {
		return false
	}
	i := 0
	for i < len(x) && x[i] == y[i] {
		i++
	}
	if len(x) < len(y) {
		return slices.Equal(x[i:], y[i+1:])
	}
	if slices.Equal(x[i+1:], y[i+1:]) {
		return true
	}
	return i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && slices.Equal(x[i+2:], y[i+2:])
}
