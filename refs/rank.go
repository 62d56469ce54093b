package refs

import "fmt"

// Rank is a taxonomic rank, broadest first; a greater Rank is narrower.
type Rank uint8

// The ranks.
const (
	NoRank Rank = iota
	Kingdom
	Phylum
	Class
	Order
	Family
	Genus
	Species
)

// Ranks lists the ranks from kingdom to species.
var Ranks = []Rank{Kingdom, Phylum, Class, Order, Family, Genus, Species}

var rankNames = [...]string{"", "kingdom", "phylum", "class", "order", "family", "genus", "species"}

// String gives the English name of the rank, empty for NoRank.
func (r Rank) String() string {
	if int(r) < len(rankNames) {
		return rankNames[r]
	}
	return fmt.Sprintf("Rank(%d)", uint8(r))
}

// MarshalText gives the same word as String.
func (r Rank) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// ParseRank reads the English name of a rank in either case.
func ParseRank(s string) (Rank, bool) {
	for i, name := range rankNames {
		if i > 0 && equalFold(s, name) {
			return Rank(i), true
		}
	}
	return NoRank, false
}

func equalFold(a, b string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range len(a) {
		if a[i]|0x20 != b[i]|0x20 {
			return false
		}
	}
	return true
}

// Lineage holds a name a rank; an empty string is not known. Words that are no
// values ("unclassified", "incertae sedis") are never stored.
type Lineage struct {
	Kingdom string `json:"kingdom,omitempty"`
	Phylum  string `json:"phylum,omitempty"`
	Class   string `json:"class,omitempty"`
	Order   string `json:"order,omitempty"`
	Family  string `json:"family,omitempty"`
	Genus   string `json:"genus,omitempty"`
	Species string `json:"species,omitempty"` // the binomial, not the epithet
}

func (l *Lineage) slot(r Rank) *string {
	switch r {
	case Kingdom:
		return &l.Kingdom
	case Phylum:
		return &l.Phylum
	case Class:
		return &l.Class
	case Order:
		return &l.Order
	case Family:
		return &l.Family
	case Genus:
		return &l.Genus
	case Species:
		return &l.Species
	}
	return nil
}

// At gives the name at rank r, empty where it is not known.
func (l Lineage) At(r Rank) string {
	if p := l.slot(r); p != nil {
		return *p
	}
	return ""
}

// Set puts name at rank r.
func (l *Lineage) Set(r Rank, name string) {
	if p := l.slot(r); p != nil {
		*p = name
	}
}

// Deepest gives the narrowest rank with a name, NoRank where there is none.
func (l Lineage) Deepest() Rank {
	for i := len(Ranks) - 1; i >= 0; i-- {
		if l.At(Ranks[i]) != "" {
			return Ranks[i]
		}
	}
	return NoRank
}

// Upto gives the lineage without the ranks narrower than r.
func (l Lineage) Upto(r Rank) Lineage {
	for _, q := range Ranks {
		if q > r {
			l.Set(q, "")
		}
	}
	return l
}

// PartsAt gives the broadest rank at which both lineages have names and these
// differ, NoRank where they never do.
func (l Lineage) PartsAt(m Lineage) Rank {
	for _, r := range Ranks {
		if a, b := l.At(r), m.At(r); a != "" && b != "" && a != b {
			return r
		}
	}
	return NoRank
}
