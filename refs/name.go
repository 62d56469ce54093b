package refs

import "strings"

// Doubt is what an identifier added to a name to say how sure they were.
type Doubt uint16

// The kinds of doubt, which can come together.
const (
	DoubtCf        Doubt = 1 << iota // cf.: to be compared with
	DoubtAff                         // aff.: near, but not it
	DoubtQuestion                    // ?
	DoubtSp                          // sp.: the species is left open
	DoubtGroup                       // group, agg., complex, clade
	DoubtSensuLato                   // s.l.
)

// doubtWords are the words of each Doubt, in the order of the bits.
var doubtWords = []string{"cf.", "aff.", "?", "sp.", "group", "s.l."}

// String gives the words of the doubt with blanks between, as on a label.
func (d Doubt) String() string {
	var words []string
	for i, w := range doubtWords {
		if d&(1<<i) != 0 {
			words = append(words, w)
		}
	}
	return strings.Join(words, " ")
}

// MarshalText gives the same words as String.
func (d Doubt) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// Name is a taxon name as written on a label or in a reference header, and as
// understood.
type Name struct {
	Verbatim string `json:"verbatim,omitempty"`
	// Genus and Epithet are the parts of a name at genus or below; Infra is
	// the epithet below species.
	Genus   string `json:"genus,omitempty"`
	Epithet string `json:"epithet,omitempty"`
	Infra   string `json:"infra,omitempty"`
	// Higher is a name above genus ("Boletaceae").
	Higher string `json:"higher,omitempty"`
	// Rank is the rank of the name: Species where there is an epithet, Genus,
	// or the rank of Higher; NoRank where nothing was understood.
	Rank  Rank  `json:"rank,omitempty"`
	Doubt Doubt `json:"doubt,omitempty"`
	// Unnamed is true for text that is there but names no genus or narrower
	// taxon and is not meant to ("uncultured fungus", "Fungi sp.").
	Unnamed bool `json:"unnamed,omitempty"`
	// Several is set where the text names more than one taxon and so none
	// ("Russula or Lactarius"): the two that were seen first, with ", "
	// between. All else but Verbatim is then empty.
	Several string `json:"several,omitempty"`
	// Abbreviated is true where only the genus cut short is written ("R.
	// emetica"): nothing is understood until it is written in full.
	Abbreviated bool `json:"abbreviated,omitempty"`
	// Respelt is true where Genus or Epithet is a repair of what was written.
	Respelt bool `json:"respelt,omitempty"`
	// Group is a word of clubs for fungi that are no taxon ("coral fungus"),
	// and GroupTaxa are the taxa that it may mean, ", " between; empty where it
	// means nearly everything ("little brown mushroom"). Genus and Higher are
	// then empty.
	Group     string `json:"group,omitempty"`
	GroupTaxa string `json:"group_taxa,omitempty"`
}

// Binomial gives "Genus epithet", empty where there is no epithet.
func (n Name) Binomial() string {
	if n.Genus == "" || n.Epithet == "" {
		return ""
	}
	return n.Genus + " " + n.Epithet
}

// Taxon gives the name without its doubts and authors: the binomial, the
// genus, the higher taxon or the group; empty where nothing was understood.
func (n Name) Taxon() string {
	switch {
	case n.Epithet != "":
		return n.Binomial()
	case n.Genus != "":
		return n.Genus
	case n.Group != "":
		return n.Group
	}
	return n.Higher
}

// CertainSpecies reports whether the name is a species without doubt.
func (n Name) CertainSpecies() bool { return n.Epithet != "" && n.Doubt == 0 }

// Label gives the name as a person would write it, with its doubts and without
// authors: "Russula cf. ficticia", "Wilcoxina sp.", "Boletaceae". What names
// nothing is given as written.
func (n Name) Label() string {
	if n.Genus == "" {
		if n.Higher != "" && !n.Unnamed {
			return n.Higher
		}
		return n.Verbatim
	}
	words := []string{n.Genus}
	switch {
	case n.Doubt&DoubtCf != 0:
		words = append(words, "cf.")
	case n.Doubt&DoubtAff != 0:
		words = append(words, "aff.")
	case n.Epithet == "" && n.Doubt&DoubtSp != 0:
		words = append(words, "sp.")
	}
	if n.Epithet != "" {
		words = append(words, n.Epithet)
	}
	if n.Doubt&DoubtGroup != 0 {
		words = append(words, "group")
	}
	if n.Doubt&DoubtSensuLato != 0 {
		words = append(words, "s.l.")
	}
	label := strings.Join(words, " ")
	if n.Doubt&DoubtQuestion != 0 {
		label += "?"
	}
	return label
}
