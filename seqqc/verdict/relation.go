package verdict

import "forayseq/refs"

// taxon is a name with its rank and its place: lineage holds the taxon itself
// at its rank and nothing narrower.
type taxon struct {
	name    string
	rank    refs.Rank
	lineage refs.Lineage
	// members are set for a group of the field guide, and name and rank then
	// are its word and the broadest of theirs.
	members []taxon
	// written is the genus on the label, which may not be the one in use, and
	// other the names that DNA of the same fungus may bear, see Field.
	written string
	other   map[string]refs.Change
}

// newTaxon gives the taxon with its own name in its lineage; a species also
// has its genus there.
func newTaxon(name, genus string, rank refs.Rank, lineage refs.Lineage) taxon {
	lineage = lineage.Upto(rank)
	lineage.Set(rank, name)
	if rank == refs.Species && genus != "" {
		lineage.Set(refs.Genus, genus)
	}
	return taxon{name: name, rank: rank, lineage: lineage}
}

// kinship is how the field taxon F and the DNA's taxon D lie to one another.
type kinship int

const (
	// unknown: the lineages do not tell.
	unknown kinship = iota
	// sameGenus: both are at genus or below, and of one genus.
	sameGenus
	// dnaInside: F is above genus, and D lies in it and is narrower.
	dnaInside
	// fieldInside: D is above genus, and F lies in it or is it.
	fieldInside
	// apart: neither contains the other.
	apart
	// otherName: both are at genus or below, and two names of one fungus or
	// genus, as the table of changed names has it.
	otherName
)

// relate says how F and D lie to one another and, where they part, at which
// rank: the broadest at which both have a name and these differ.
//
// The name at the other's rank decides first. Only where that is missing do the
// broader ranks: two taxa of different orders are apart although the family of
// one is not known.
func relate(f, d taxon) (kinship, refs.Rank) {
	if f.rank == refs.NoRank || d.rank == refs.NoRank {
		return unknown, refs.NoRank
	}
	if len(f.members) > 0 {
		return relateGroup(f, d)
	}
	if f.rank >= refs.Genus && d.rank >= refs.Genus {
		return relateGenera(f, d)
	}
	inside, outer, inner := fieldInside, d, f
	if d.rank > f.rank {
		inside, outer, inner = dnaInside, f, d
	}
	if inner.lineage.At(outer.rank) == outer.name {
		return inside, refs.NoRank
	}
	if at := f.lineage.PartsAt(d.lineage); at != refs.NoRank {
		return apart, at
	}
	return unknown, refs.NoRank
}

// relateGenera relates two taxa at genus or below. Where the DNA tells no more
// than the genus on the label, they are of one, whatever the species is called
// today.
func relateGenera(f, d taxon) (kinship, refs.Rank) {
	genus := d.lineage.Genus
	same := f.lineage.Genus == genus
	if f.written != "" {
		same = f.written == genus && (f.lineage.Genus == genus || d.rank == refs.Genus)
	}
	if same {
		return sameGenus, refs.NoRank
	}
	if _, ok := f.changeTo(d); ok {
		return otherName, refs.NoRank
	}
	return apart, f.lineage.PartsAt(d.lineage)
}

// changeTo gives the change of names by which the DNA's taxon may be the field
// taxon, false where the table has none.
func (f taxon) changeTo(d taxon) (refs.Change, bool) {
	if c, ok := f.other[d.name]; ok {
		return c, true
	}
	c, ok := f.other[d.lineage.Genus]
	return c, ok
}

// relateGroup relates a group to D: inside where D lies in, or is, one of the
// group's taxa; around where it holds one. They part at the narrowest rank at
// which D parts from one of them.
func relateGroup(f, d taxon) (kinship, refs.Rank) {
	around, untold, at := false, false, refs.NoRank
	for _, m := range f.members {
		kin, rank := relate(m, d)
		switch {
		case kin == sameGenus, kin == dnaInside, m.name == d.name:
			return dnaInside, refs.NoRank
		case kin == fieldInside:
			around = true
		case kin == unknown:
			untold = true
		}
		at = max(at, rank)
	}
	switch {
	case around:
		return fieldInside, refs.NoRank
	case untold:
		return unknown, refs.NoRank
	}
	return apart, at
}
