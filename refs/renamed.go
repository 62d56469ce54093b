package refs

import "slices"

// TakeNames puts the records whose names changed under the names in use, so
// that an old and a new name of one fungus are one: Lineage, and all that is
// found by name, follow; Name stays as it was written.
//
// A name is only changed into one that the library knows itself, see Current:
// a library that keeps to the old names throughout keeps them. TakeNames is
// called once, before anything is asked of the library.
func (l *Library) TakeNames(names *Names) {
	l.index()
	l.names = names
	lineages := map[int]Lineage{}
	for _, genus := range names.Genera() {
		for _, i := range l.byGenus[genus] {
			name := l.bare(i).Name
			if n := l.Current(name); n.Taxon() != name.Taxon() {
				lineages[i] = l.Taxonomy.LineageOf(n)
			}
		}
	}
	if len(lineages) == 0 {
		return
	}
	l.lineages = lineages
	l.genusNumbers = slices.Clone(l.genusNumbers)
	for i, lineage := range lineages {
		if l.genusNumbers[i] != 0 {
			l.genusNumbers[i] = l.GenusNumberOf(lineage.Genus)
		}
	}
	l.makeIndex()
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
