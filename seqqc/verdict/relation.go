package verdict

import "forayseq/refs"

// taxon is a name with its rank and its place: lineage holds the taxon itself
// at its rank and nothing narrower.
type taxon struct {
	name    string
	rank    refs.Rank
	lineage refs.Lineage
}

// newTaxon gives the taxon with its own name in its lineage; a species also
// has its genus there.
func newTaxon(name, genus string, rank refs.Rank, lineage refs.Lineage) taxon {
	lineage = lineage.Upto(rank)
	lineage.Set(rank, name)
	if rank == refs.Species && genus != "" {
		lineage.Set(refs.Genus, genus)
	}
	return taxon{name, rank, lineage}
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
	if f.rank >= refs.Genus && d.rank >= refs.Genus {
		if f.lineage.Genus == d.lineage.Genus {
			return sameGenus, refs.NoRank
		}
		return apart, f.lineage.PartsAt(d.lineage)
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
