package verdict

import (
	"slices"
	"strings"

	"forayseq/refs"
)

// Field is the name on the label and what is known about it.
type Field struct {
	// Name is the name in use, as far as the library knows it (see
	// refs.Library.Current); Written is the name as the label has it.
	Name, Written refs.Name
	// Lineage is the lineage of the name, itself included, as far as known. Of
	// a group it is what its members have in common.
	Lineage refs.Lineage
	// Members are the taxa that a group may mean, each with its lineage.
	Members []refs.Lineage
	// Other are the changes by which DNA under another genus may be of the field
	// name all the same, by the name that the DNA would then bear, a genus or a
	// species.
	Other map[string]refs.Change
	// Wide are the genera of which one in its wide sense held the other, the
	// field genus being either of them, by the other. They are one where the
	// DNA is near to both.
	Wide map[string]refs.Change
	// Known is true where the genus or higher name is in the library, the
	// user's taxonomy or the built-in genus table, or the group has members.
	Known bool
	Habit refs.Habit
	// Records counts the library records of the field genus, of the field
	// taxon where that is above genus, or of the group's members.
	Records int
}

// label gives the name as the label has it.
func (f Field) label() refs.Name {
	if f.Written.Verbatim == "" && f.Written.Taxon() == "" {
		return f.Name
	}
	return f.Written
}

func fieldOf(lib *refs.Library, n refs.Name) Field {
	written := lib.Taxonomy.Resolve(n)
	f := Field{Name: lib.Current(written), Written: written}
	f.Lineage = lib.Taxonomy.LineageOf(f.Name)
	switch {
	case f.Name.Group != "":
		f.takeMembers(lib)
	case f.Name.Genus != "":
		f.Records = len(lib.OfGenus(f.Name.Genus))
		f.Known = f.Records > 0 || lib.Taxonomy.Known(f.Name.Genus)
		f.Habit = lib.Taxonomy.Habit(f.Name.Genus)
		f.takeChanges(lib)
	case f.Name.Higher != "" && f.Name.Rank != refs.NoRank:
		_, f.Known = lib.Taxonomy.Lookup(f.Name.Higher)
		f.Records = lib.CountAt(f.Name.Rank, f.Name.Higher)
	}
	return f
}

// takeMembers looks up the taxa of a group. A genus that was split brings its
// parts with it.
func (f *Field) takeMembers(lib *refs.Library) {
	take := func(taxon string) {
		if l, ok := lib.Taxonomy.Lookup(taxon); ok && !slices.Contains(f.Members, l) {
			f.Members = append(f.Members, l)
		}
	}
	for taxon := range strings.SplitSeq(f.Name.GroupTaxa, ", ") {
		take(taxon)
		for _, c := range lib.Names().Splits(taxon) {
			take(c.Accepted)
		}
	}
	f.Known = len(f.Members) > 0
	for i, l := range f.Members {
		if i == 0 {
			f.Lineage = l
		}
		for _, r := range refs.Ranks {
			if l.At(r) != f.Lineage.At(r) {
				f.Lineage.Set(r, "")
			}
		}
		// A genus is counted with its family where the group has that too.
		if !slices.ContainsFunc(f.Members, func(o refs.Lineage) bool { return o.Deepest() < l.Deepest() && l.At(o.Deepest()) == o.At(o.Deepest()) }) {
			f.Records += lib.CountAt(l.Deepest(), l.At(l.Deepest()))
		}
	}
}

// takeChanges finds the other names that the table of changed names has for
// the field name:
//
//   - those that lead to the same genus: the DNA may bear the older one;
//   - the parts of the genus, where the label leaves the species open or names
//     one of which neither table nor library tells where it stands. Of a
//     species that the library has under the old genus, only the same epithet
//     counts;
//   - the genus that held it in its wide sense, where the library has nothing
//     of the narrower one.
func (f *Field) takeChanges(lib *refs.Library) {
	names, written := lib.Names(), f.Written
	if names == nil {
		return
	}
	current, change, moved := names.Current(written)
	f.Other, f.Wide = map[string]refs.Change{}, map[string]refs.Change{}
	for _, c := range names.LeadingTo(current.Genus) {
		f.Other[c.Name] = c
	}
	stays := written.Epithet != "" && len(lib.OfSpecies(written.Binomial())) > 0
	for _, c := range names.Splits(written.Genus) {
		switch {
		case moved: // elsewhere, and the table says where
		case stays:
			for _, epithet := range append(refs.Genders(written.Epithet), written.Epithet) {
				f.Other[c.Accepted+" "+epithet] = c
			}
			f.Wide[c.Accepted] = c
		default:
			f.Other[c.Accepted] = c
		}
	}
	if moved {
		f.Other[current.Genus] = change
	}
	absent := len(lib.OfGenus(current.Genus)) == 0
	for _, c := range names.Holding(current.Genus) {
		if f.Wide[c.Name] = c; absent {
			f.Other[c.Name] = c
		}
	}
	delete(f.Other, written.Genus)
}

// fieldTaxon gives F. A species left open ("Russula sp.") is its genus.
func (c Case) fieldTaxon() taxon {
	n := c.Field.Name
	var f taxon
	switch {
	case n.Epithet != "" && n.Doubt&refs.DoubtSp == 0:
		f = newTaxon(n.Binomial(), n.Genus, refs.Species, c.Field.Lineage)
	case n.Genus != "":
		f = newTaxon(n.Genus, n.Genus, refs.Genus, c.Field.Lineage)
	case n.Group != "" && len(c.Field.Members) > 0:
		f = taxon{name: n.Group, rank: refs.Species, lineage: c.Field.Lineage}
		for _, l := range c.Field.Members {
			r := l.Deepest()
			f.members = append(f.members, newTaxon(l.At(r), l.Genus, r, l))
			f.rank = min(f.rank, r)
		}
	case n.Higher != "" && n.Rank != refs.NoRank:
		f = newTaxon(n.Higher, "", n.Rank, c.Field.Lineage)
	}
	f.written, f.other = c.Field.label().Genus, c.Field.Other
	return f
}

// named reports whether the field name is understood and known, so that there
// is something to compare the DNA with.
func (c Case) named() bool { return c.Field.Known && c.fieldTaxon().rank != refs.NoRank }

// nearChange gives the split of a genus that parts the field genus from the
// DNA's, where the DNA is near to references of both: which of them bear the
// wide name and which the narrow one is then a matter of the library.
func (c Case) nearChange() (refs.Change, bool) {
	change, ok := c.Field.Wide[c.dnaTaxon().lineage.Genus]
	h := c.match().Field.Genus
	if !ok || h == nil || min(h.IdentityPct, h.IdentityStrictPct) < c.vote(refs.Genus).Threshold {
		return refs.Change{}, false
	}
	return change, true
}

// fieldWords gives the field name for a sentence, with the name in use where
// the label has another.
func fieldWords(c Case) string {
	f, label := c.fieldTaxon().name, c.Field.label().Taxon()
	if label == f || label == "" {
		return f
	}
	return label + " (today " + f + ")"
}
