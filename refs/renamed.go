package refs

import "slices"

// TakeNames puts the records whose names changed under the names in use, so
// that an old and a new name of one fungus are one: Lineage, and all that is
// found by name, follow; Name stays as it was written. genera are those of the
// names that changed, and current gives the name in use, false where there is
// no other.
//
// A name is only changed into one that the library knows itself, see Current:
// a library that keeps to the old names throughout keeps them. It is called
// once, before anything is asked of the library, and not while it is in use.
func (l *Library) TakeNames(genera []string, current func(Name) (Name, bool)) {
	l.index()
	l.inUse = current
	lineages := map[int]Lineage{}
	for _, genus := range genera {
		for _, i := range l.byGenus[genus] {
			r := l.bare(i)
			n := l.Current(r.Name)
			if n.Taxon() == r.Name.Taxon() {
				continue
			}
			lineages[i] = l.Taxonomy.LineageOf(n)
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

// Current gives the name in use for a name, as TakeNames was told, where the
// library has records of the genus that it leads to, and, within one genus, of
// the species. Otherwise the name is given as it is.
func (l *Library) Current(n Name) Name {
	if l.inUse == nil || n.Genus == "" {
		return n
	}
	to, ok := l.inUse(n)
	switch {
	case !ok, l.GenusNumberOf(to.Genus) == 0:
		return n
	case to.Genus == n.Genus && len(l.OfSpecies(to.Binomial())) == 0:
		return n
	}
	return to
}
