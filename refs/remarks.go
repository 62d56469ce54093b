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

// RemarkKind says what a Remark is about.
type RemarkKind string

// The kinds of remark.
const (
	RemarkUnnamed RemarkKind = "unnamed" // no usable name
	RemarkShort   RemarkKind = "short"   // too few bases to support a name
	RemarkGene    RemarkKind = "gene"    // the header names another gene
	RemarkGenera  RemarkKind = "genera"  // one sequence under several genera
	RemarkSpecies RemarkKind = "species" // one sequence under several species
)

// plurals name records of a kind of remark.
var plurals = map[RemarkKind]string{
	RemarkUnnamed: "records without a usable name",
	RemarkShort:   fmt.Sprintf("records of fewer than %d bases", leastBases),
	RemarkGene:    "records that seem to be of another gene than ITS",
	RemarkGenera:  "sequences that stand under more than one genus",
	RemarkSpecies: "sequences that stand under more than one species",
}

// Remark is what is doubtful about a record, or about several with one
// sequence, that are used as they are.
type Remark struct {
	Kind    RemarkKind
	Records []int // ascending
	What    string
	Hint    string
}

// Remarks lists what names, lengths, headers and equal sequences show to be
// doubtful: first of single records, then of equal ones, each in file order. It
// says what to look at and changes nothing.
func (l *Library) Remarks() []Remark {
	var list []Remark
	for i := range l.Len() {
		r := l.bare(i)
		add := func(kind RemarkKind, what, hint string) {
			list = append(list, Remark{kind, []int{i}, what, hint})
		}
		if what, hint := r.nameless(); what != "" {
			add(RemarkUnnamed, what, hint)
		}
		seq := l.seqOf(i)
		if n := len(seq) - bytes.Count(seq, []byte{'N'}); n < leastBases {
			add(RemarkShort, fmt.Sprintf("%d bases are too few to support a name", n), "take a longer record, or leave it out")
		}
		if gene := otherLocus(r.Header); gene != "" {
			add(RemarkGene, fmt.Sprintf("the header says %s and nothing of ITS", gene), "take it out if it holds no ITS")
		}
	}
	for _, group := range l.EqualSequences() {
		if r, ok := l.contradiction(group); ok {
			list = append(list, r)
		}
	}
	return list
}

// remark gives the Remarks as problems, twenty of a kind and a count.
func (l *Library) remark() []Problem {
	var found problems
	for _, r := range l.Remarks() {
		first := l.bare(r.Records[0])
		found.add(plurals[r.Kind], Problem{Line: first.Line, Record: first.ID, What: r.What, Hint: r.Hint, Remark: true})
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

// EqualSequences groups the records whose sequences are the same letter for
// letter, in the order of the first of each group. It keeps hashes, not
// sequences; where two sequences share a hash, the later goes unremarked.
func (l *Library) EqualSequences() [][]int {
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
func (l *Library) contradiction(group []int) (Remark, bool) {
	genera, species := newIDsByName(), newIDsByName()
	for _, i := range group {
		r := l.bare(i)
		genera.add(r.Name.Genus, r.ID)
		if r.Name.CertainSpecies() {
			species.add(r.Name.Binomial(), r.ID)
		}
	}
	switch {
	case len(genera.names) > 1:
		return Remark{RemarkGenera, group, "one sequence stands under more than one genus: " + genera.text(),
			"find out which name is wrong, or old, and mend it"}, true
	case len(species.names) > 1:
		return Remark{RemarkSpecies, group, "one sequence stands under more than one species: " + species.text(),
			"ITS may not part them, or a name is wrong or old"}, true
	}
	return Remark{}, false
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
