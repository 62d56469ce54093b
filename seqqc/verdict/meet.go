package verdict

import (
	"slices"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Meeting is how DNA lies to a label, which may be that of another voucher.
type Meeting uint8

// The meetings.
const (
	// MeetsUntold: the label or the DNA does not tell.
	MeetsUntold Meeting = iota
	// MeetsNot: they exclude one another at family or above.
	MeetsNot
	// MeetsFamily: they exclude one another, and part within a family.
	MeetsFamily
	// MeetsTaxon: the DNA is of the label's genus or lies in its taxon, and their
	// species are not to be compared.
	MeetsTaxon
	// MeetsGenus: one genus, and another species than the label says without
	// doubt.
	MeetsGenus
	// MeetsSpecies: one species.
	MeetsSpecies
)

// Label is a field name with what the library knows of it, to be held against
// the DNA of any voucher.
type Label struct{ field Field }

// NewLabel prepares a name.
func NewLabel(lib *refs.Library, name refs.Name) Label { return Label{fieldOf(lib, name)} }

// Meet says how DNA lies to the label, by the same relation as the rules. A
// species that the voting window also holds is not told from the supported one.
func (l Label) Meet(m *seqqc.Match) Meeting {
	c := Case{Field: l.field, Samples: []seqqc.SampleResult{{Match: m}}}
	if m == nil || !c.named() {
		return MeetsUntold
	}
	f, d := c.fieldTaxon(), c.dnaTaxon()
	kin, at := relate(f, d)
	switch kin {
	case apart:
		if at == refs.Genus {
			return MeetsFamily
		}
		return MeetsNot
	case dnaInside, otherName:
		return MeetsTaxon
	case unknown:
		if c.windowIsFieldGenus() {
			return MeetsTaxon
		}
	case sameGenus:
		switch {
		case !l.field.Name.CertainSpecies() || d.rank < refs.Species:
			return MeetsTaxon
		case f.name == d.name:
			return MeetsSpecies
		case slices.ContainsFunc(m.Hits[:m.InWindow], func(h seqqc.Hit) bool { return h.Lineage.Species == f.name }):
			return MeetsTaxon
		}
		return MeetsGenus
	}
	return MeetsUntold
}
