package refs

import (
	"bytes"
	"fmt"
	"hash/maphash"
	"slices"
	"strings"
)

// leastBases is the length in bases, N not counted, of the shortest record
// that can be evidence: a hit must compare that many columns outside the
// conserved flanks.
const leastBases = 150

// maxNamed is how many ids a remark on many records names.
const maxNamed = 6

// remark lists what is doubtful about the records of a library that are used
// as they are: names, lengths, the gene, and sequences that contradict each
// other. It says what to look at and changes nothing.
func (l *Library) remark() []Problem {
	var found problems
	for i := range l.Records {
		r := &l.Records[i]
		add := func(kind, what, hint string) {
			found.add(kind, Problem{Line: r.Line, Record: r.ID, What: what, Hint: hint, Remark: true})
		}
		if what, hint := r.nameless(); what != "" {
			add("records without a usable name", what, hint)
		}
		if n := len(r.Seq) - bytes.Count(r.Seq, []byte{'N'}); n < leastBases {
			add(fmt.Sprintf("records of fewer than %d bases", leastBases), fmt.Sprintf("%d bases are too few to support a name", n), "take a longer record, or leave it out")
		}
		if gene := otherLocus(r.Header); gene != "" {
			add("records that seem to be of another gene than ITS", fmt.Sprintf("the header says %s and nothing of ITS", gene), "take it out if it holds no ITS")
		}
	}
	for _, group := range l.equalSequences() {
		l.contradiction(&found, group)
	}
	return found.all()
}

// nameless says why a record has no name that helps, empty where it has one.
// A family or an order helps at its own rank.
func (r *Record) nameless() (what, hint string) {
	const rename = "name it in its header or in the lineage table, or leave it out"
	switch {
	case r.Name.Genus != "" || r.Lineage.Deepest() > Kingdom:
		return "", ""
	case r.Name.Several != "":
		return "the header names more than one genus: " + r.Name.Several, "write the one that is meant, or leave the record out"
	case r.Name.Abbreviated:
		return "the genus is cut short", "write it in full"
	case r.Name.Unnamed && strings.TrimSpace(r.Name.Verbatim) != "":
		return "it is a record of an unnamed organism", rename
	}
	return "no name was found in the header", rename
}

// equalSequences groups the records whose sequences are the same letter for
// letter, in the order of the first of each group. It keeps hashes, not
// sequences; where two sequences share a hash, the later goes unremarked.
func (l *Library) equalSequences() [][]int {
	seed := maphash.MakeSeed()
	first := make(map[uint64]int, l.Len())
	groups := make(map[int][]int)
	for i := range l.Len() {
		seq := l.seqOf(i)
		h := maphash.Bytes(seed, seq)
		j, seen := first[h]
		switch {
		case !seen:
			first[h] = i
		case bytes.Equal(seq, l.seqOf(j)):
			if groups[j] == nil {
				groups[j] = []int{j}
			}
			groups[j] = append(groups[j], i)
		}
	}
	list := make([][]int, 0, len(groups))
	for _, g := range groups {
		list = append(list, g)
	}
	slices.SortFunc(list, func(a, b []int) int { return a[0] - b[0] })
	return list
}

// contradiction remarks on a group of equal sequences under more than one
// genus, or else more than one species. A doubtful species (cf., group) is
// none, and a record without a genus says nothing.
func (l *Library) contradiction(found *problems, group []int) {
	genera, species := newIDsByName(), newIDsByName()
	for _, i := range group {
		r := &l.Records[i]
		genera.add(r.Name.Genus, r.ID)
		if r.Name.CertainSpecies() {
			species.add(r.Name.Binomial(), r.ID)
		}
	}
	first := &l.Records[group[0]]
	problem := Problem{Line: first.Line, Record: first.ID, Remark: true}
	switch {
	case len(genera.names) > 1:
		problem.What = "one sequence stands under more than one genus: " + genera.text()
		problem.Hint = "find out which name is wrong, or old, and mend it"
		found.add("sequences that stand under more than one genus", problem)
	case len(species.names) > 1:
		problem.What = "one sequence stands under more than one species: " + species.text()
		problem.Hint = "ITS may not part them, or a name is wrong or old"
		found.add("sequences that stand under more than one species", problem)
	}
}

// idsByName collects ids by name, both in the order of the file.
type idsByName struct {
	names []string
	ids   map[string][]string
}

func newIDsByName() idsByName { return idsByName{ids: make(map[string][]string)} }

func (t *idsByName) add(name, id string) {
	if name == "" {
		return
	}
	if t.ids[name] == nil {
		t.names = append(t.names, name)
	}
	t.ids[name] = append(t.ids[name], id)
}

// text gives "Russula (X1, X2), Lactarius (X3)", bounded in names and ids.
func (t *idsByName) text() string {
	var parts []string
	for _, name := range t.names[:min(len(t.names), maxNamed)] {
		parts = append(parts, fmt.Sprintf("%s (%s)", name, bounded(t.ids[name])))
	}
	if more := len(t.names) - maxNamed; more > 0 {
		parts = append(parts, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(parts, ", ")
}

func bounded(ids []string) string {
	if more := len(ids) - maxNamed; more > 0 {
		return strings.Join(ids[:maxNamed], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(ids, ", ")
}
