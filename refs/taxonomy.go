package refs

// Taxonomy knows the lineage of names: from the user's table, from the
// library's own headers, and from the built-in genus table, the first of these
// that has a value at a rank winning.
type Taxonomy struct {
	byName   map[string]Lineage
	habits   map[string]Habit
	problems []Problem
}

// NewTaxonomy puts together what the user's table (nil for none), the records'
// own header lineages and the built-in genus table say.
func NewTaxonomy(user *Table, headers []Lineage) *Taxonomy {
	return &Taxonomy{byName: map[string]Lineage{}}
}

// Lookup gives the lineage of a taxon of any rank, down to that taxon itself.
// A species is looked up by its binomial.
func (t *Taxonomy) Lookup(name string) (Lineage, bool) {
	if t == nil {
		return Lineage{}, false
	}
	l, ok := t.byName[name]
	return l, ok
}

// RankOf gives the rank of a taxon, NoRank where it is not known.
func (t *Taxonomy) RankOf(name string) Rank {
	l, ok := t.Lookup(name)
	if !ok {
		return NoRank
	}
	return l.Deepest()
}

// Known reports whether genus is a genus in any of the sources.
func (t *Taxonomy) Known(genus string) bool { return t.RankOf(genus) == Genus }

// Habit gives the way of life of a genus, empty where it is not known.
func (t *Taxonomy) Habit(genus string) Habit {
	if t == nil {
		return ""
	}
	return t.habits[genus]
}

// Resolve sets the rank of a name above genus, and moves a one-word name that
// is known as a higher taxon from Genus to Higher (or the other way round).
func (t *Taxonomy) Resolve(n Name) Name { return n }

// LineageOf gives the lineage of a name as far as the name goes: down to the
// species only where CertainSpecies holds.
func (t *Taxonomy) LineageOf(n Name) Lineage {
	l, _ := t.Lookup(n.Taxon())
	return l
}

// Habit is the way of life of a genus, in one word.
type Habit string

// The habits of the built-in genus table.
const (
	Mushroom    Habit = "mushroom"    // what a club collects, crusts and cups included
	Mould       Habit = "mould"       // grows on neglected collections
	Yeast       Habit = "yeast"       // yeasts and dimorphic kin
	Fungicolous Habit = "fungicolous" // lives on other fungi
	Endophyte   Habit = "endophyte"   // hidden in plants or roots
	PlantPest   Habit = "plant_pathogen"
	Lichen      Habit = "lichen"
	SlimeMould  Habit = "slime_mould"
	Plant       Habit = "plant"
)

// OutsideFungi reports whether the kingdom of l is known and is not Fungi.
func (l Lineage) OutsideFungi() bool { return l.Kingdom != "" && l.Kingdom != "Fungi" }
