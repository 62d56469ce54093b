package refs

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
)

// Taxonomy knows the lineage of names: from the user's table, from the
// library's own headers, and from the built-in genus table, the first of these
// that has a value at a rank winning.
type Taxonomy struct {
	byName func() map[string]Lineage
	// problems are the contradictions among the headers; Line is the position
	// in the slice given to NewTaxonomy, counted from 1.
	problems []Problem
}

// NewTaxonomy puts together what the user's table (nil for none), the headers'
// lineages and the built-in genus table say.
//
// Headers that contradict one another (a genus in two families) are settled by
// majority; a tie goes to the built-in table's value, else to the first in
// alphabetical order.
func NewTaxonomy(user *Table, headers []Lineage) *Taxonomy {
	table := builtinTaxa()
	byName := maps.Clone(table)
	t := &Taxonomy{byName: func() map[string]Lineage { return byName }}
	users := newBallot()
	for i, l := range user.lineages() {
		users.add(l, i)
	}
	fromUser, _ := users.settle(table)

	ballot := newBallot()
	for i, l := range headers {
		ballot.add(l.Upto(Genus), i)
	}
	fromHeaders, split := ballot.settle(table)
	for _, s := range split {
		if l := fromUser[s.name]; l.At(s.rank) != "" {
			continue // the user has decided
		}
		t.problems = append(t.problems, s.problem())
	}

	sources := []map[string]Lineage{fromUser, fromHeaders, table}
	for name, l := range table {
		if mentions(fromUser, l) || mentions(fromHeaders, l) {
			byName[name] = merge(name, sources)
		}
	}
	for _, source := range sources[:2] {
		for name := range source {
			byName[name] = merge(name, sources)
		}
	}
	return t
}

// lazyTaxonomy is one whose lineages are made when first asked for.
func lazyTaxonomy(byName func() map[string]Lineage) *Taxonomy {
	return &Taxonomy{byName: sync.OnceValue(byName)}
}

// mentions reports whether source has any taxon of l.
func mentions(source map[string]Lineage, l Lineage) bool {
	if len(source) == 0 {
		return false
	}
	for _, r := range Ranks[:Genus] {
		if _, ok := source[l.At(r)]; ok {
			return true
		}
	}
	return false
}

// merge gives the lineage of a taxon. Rank by rank from the narrowest, the
// first source that has a value wins, and it may have it from the taxon itself
// or from a broader one already chosen, the broadest first: a genus that a
// header moves to another family stands in that family's order. A source that
// puts the name in another kingdom, or at another rank, means another taxon
// and is passed over.
func merge(name string, sources []map[string]Lineage) Lineage {
	var l Lineage
	own, kingdom := NoRank, ""
	for _, s := range sources {
		m, ok := s[name]
		if ok && own == NoRank {
			own = m.Deepest()
		}
		if ok && kingdom == "" && m.Deepest() == own {
			kingdom = m.Kingdom
		}
	}
	l.Set(own, name)
	for r := own - 1; r >= Kingdom; r-- {
		l.Set(r, parentAt(r, own, l, kingdom, sources))
	}
	return l
}

func parentAt(r, own Rank, l Lineage, kingdom string, sources []map[string]Lineage) string {
	for _, s := range sources {
		for q := r + 1; q <= own; q++ {
			name := l.At(q)
			if name == "" {
				continue
			}
			m, ok := s[name]
			if !ok || m.Deepest() != q || m.At(r) == "" || kingdom != "" && m.Kingdom != "" && m.Kingdom != kingdom {
				continue
			}
			return m.At(r)
		}
	}
	return ""
}

func sameKingdom(l, m Lineage) bool {
	return l.Kingdom == "" || m.Kingdom == "" || l.Kingdom == m.Kingdom
}

// Lookup gives the lineage of a taxon of any rank down to genus, with that
// taxon itself. The name is spelt with a capital.
func (t *Taxonomy) Lookup(name string) (Lineage, bool) {
	if t == nil {
		return Lineage{}, false
	}
	l, ok := t.byName()[name]
	return l, ok
}

// RankOf gives the rank of a taxon, NoRank where it is not known.
func (t *Taxonomy) RankOf(name string) Rank {
	l, _ := t.Lookup(name)
	return l.Deepest()
}

// Known reports whether genus is a genus in any of the sources.
func (t *Taxonomy) Known(genus string) bool { return t.RankOf(genus) == Genus }

// Habit gives the way of life of a genus, empty where it is not known.
func (t *Taxonomy) Habit(genus string) Habit {
	if t == nil {
		return ""
	}
	return builtinGenera()[genus].habit
}

// Resolve reads a name again in the light of the taxonomy. A name that was not
// understood by itself is one where the taxonomy knows its genus; a name taken
// for a genus that is known only as a higher taxon goes to Higher; Rank is the
// taxonomy's. A family of narrower usage that no source has becomes the family
// of the built-in table that holds it (Cantharellaceae: Hydnaceae). A genus
// stays as written, known or not.
func (t *Taxonomy) Resolve(n Name) Name {
	if t == nil || n.Group != "" {
		return n
	}
	if n.Genus != "" { // beside it may stand a genus that only the taxonomy knows
		if m := parseName(n.Verbatim, t.Known); m.Several != "" {
			n = m
		}
	}
	if n.Several != "" {
		return n
	}
	if n.Genus == "" && n.Higher == "" && n.Verbatim != "" {
		if m := parseName(n.Verbatim, t.Known); m.Genus != "" {
			n = m
		} else if word := titleCase(strings.Trim(n.Verbatim, " .")); t.RankOf(word) != NoRank && t.RankOf(word) < Genus {
			n.Higher, n.Rank, n.Unnamed = word, t.RankOf(word), false
		}
	}
	if n.Genus != "" && n.Epithet == "" && !t.Known(n.Genus) {
		if r := t.RankOf(n.Genus); r != NoRank {
			n.Higher, n.Genus = n.Genus, ""
			n.Rank = r
		}
	}
	if n.Higher != "" {
		if r := t.RankOf(n.Higher); r != NoRank {
			n.Rank = r
		} else if wider := widerFamilies[n.Higher]; t.RankOf(wider) == Family {
			n.Higher, n.Rank = wider, Family
		}
	}
	return n
}

// LineageOf gives the lineage of a name as far as the name goes: down to the
// species only where CertainSpecies holds. A genus in no source has itself
// alone.
func (t *Taxonomy) LineageOf(n Name) Lineage {
	if n.Genus == "" {
		l, ok := t.Lookup(n.Higher)
		if !ok && n.Higher != "" {
			l.Set(n.Rank, n.Higher)
		}
		return l
	}
	l, ok := t.Lookup(n.Genus)
	if !ok || l.Deepest() != Genus {
		l = Lineage{Genus: n.Genus}
	}
	if n.CertainSpecies() {
		l.Species = n.Binomial()
	}
	return l
}

// ballot collects lineages and what they say of each taxon in them.
type ballot struct {
	counts map[Lineage]int
	first  map[Lineage]int // position of the first of its kind
}

func newBallot() *ballot {
	return &ballot{counts: make(map[Lineage]int), first: make(map[Lineage]int)}
}

func (b *ballot) add(l Lineage, position int) {
	if l.Deepest() == NoRank {
		return
	}
	if b.counts[l]++; b.counts[l] == 1 {
		b.first[l] = position
	}
}

type vote struct {
	lineage Lineage
	count   int
	first   int
}

// split is a taxon that lineages put in different places of one rank.
type split struct {
	name      string
	own, rank Rank // of the taxon, and where it is split
	tally     []tally
}

type tally struct {
	value        string
	count, first int
}

// settle gives one lineage to each taxon of the ballot.
func (b *ballot) settle(tieBreak map[string]Lineage) (map[string]Lineage, []split) {
	votes := make(map[string][Genus + 1][]vote)
	for l, count := range b.counts {
		for _, r := range Ranks[:Genus] {
			if name := l.At(r); name != "" {
				v := votes[name]
				v[r] = append(v[r], vote{l.Upto(r), count, b.first[l]})
				votes[name] = v
			}
		}
	}
	settled := make(map[string]Lineage, len(votes))
	var splits []split
	for _, name := range slices.Sorted(maps.Keys(votes)) {
		rank, most := NoRank, 0
		for r, list := range votes[name] {
			count := 0
			for _, v := range list {
				count += v.count
			}
			if count > most {
				rank, most = Rank(r), count
			}
		}
		l, s := settleOne(name, rank, votes[name][rank], tieBreak[name])
		settled[name] = l
		splits = append(splits, s...)
	}
	return settled, splits
}

// settleOne chooses rank by rank from the narrowest, and after each choice
// hears only the lineages that agree with it.
func settleOne(name string, rank Rank, votes []vote, tieBreak Lineage) (l Lineage, splits []split) {
	l.Set(rank, name)
	explained := false // a narrower taxon stands between, and is split itself
	for r := rank - 1; r >= Kingdom; r-- {
		byValue := make(map[string]*tally)
		for _, v := range votes {
			value := v.lineage.At(r)
			if value == "" {
				continue
			}
			c := byValue[value]
			if c == nil {
				c = &tally{value: value, first: v.first}
				byValue[value] = c
			}
			c.count += v.count
			c.first = min(c.first, v.first)
		}
		if len(byValue) == 0 {
			continue
		}
		var tallies []tally
		for _, c := range byValue {
			tallies = append(tallies, *c)
		}
		slices.SortFunc(tallies, func(a, b tally) int {
			return cmp.Or(cmp.Compare(b.count, a.count),
				-compareBool(a.value == tieBreak.At(r), b.value == tieBreak.At(r)), cmp.Compare(a.value, b.value))
		})
		if len(tallies) > 1 && !explained {
			splits = append(splits, split{name, rank, r, tallies})
		}
		explained = true
		best := tallies[0].value
		l.Set(r, best)
		votes = slices.DeleteFunc(slices.Clone(votes), func(v vote) bool {
			value := v.lineage.At(r)
			return value != "" && value != best
		})
	}
	return l, splits
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

func (s split) problem() Problem {
	var places []string
	for _, c := range s.tally {
		records := "records"
		if c.count == 1 {
			records = "record"
		}
		places = append(places, fmt.Sprintf("%s (%d %s)", c.value, c.count, records))
	}
	return Problem{
		Line: s.tally[1].first + 1,
		What: fmt.Sprintf("%s %s stands in more than one %s: %s; %s is used", s.own, s.name, s.rank, strings.Join(places, ", "), s.tally[0].value),
		Hint: "mend the headers, or say which is right in a taxonomy table",
	}
}
