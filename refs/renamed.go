package refs

import (
	"slices"
	"sync"
)

// TakeNames puts the records whose names changed under the names in use, so
// that an old and a new name of one fungus are one: Lineage, and all that is
// found by name, follow; Name stays as it was written.
//
// A name is only changed into one that the library knows itself, see Current:
// a library that keeps to the old names throughout keeps them. The table of an
// earlier call is forgotten. It is not called while the library is in use.
func (l *Library) TakeNames(names *Names) {
	if l.names == nil {
		l.info = l.Info() // of the names as they were written
	} else {
		l.lineages, l.genusNumbers = nil, l.numbersAsRead
	}
	l.names, l.numbersAsRead = names, l.genusNumbers
	changed := map[int32]bool{}
	for _, genus := range names.Genera() {
		changed[l.GenusNumberOf(genus)] = true
	}
	lineages, numbers := map[int]Lineage{}, slices.Clone(l.genusNumbers)
	for i, number := range l.genusNumbers {
		if number == 0 || !changed[number] {
			continue
		}
		name := l.bare(i).Name
		if n := l.Current(name); n.Taxon() != name.Taxon() {
			lineages[i] = l.Taxonomy.LineageOf(n)
			numbers[i] = l.GenusNumberOf(n.Genus)
		}
	}
	l.lineages, l.genusNumbers = lineages, numbers
	l.namesOnce = sync.Once{} // what is found by name is found anew
}

// Names gives the table of TakeNames, nil before it.
func (l *Library) Names() *Names { return l.names }

// Current gives the name in use for a name, where the library has records of
// the genus that it leads to, and, within one genus, of the species. Otherwise
// the name is given as it is.
func (l *Library) Current(n Name) Name {
	to, _, ok := l.names.Current(n)
	switch {
	case !ok, l.GenusNumberOf(to.Genus) == 0:
		return n
	case to.Genus == n.Genus && len(l.OfSpecies(to.Binomial())) == 0:
		return n
	}
	return to
}
