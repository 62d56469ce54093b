package verdict

import (
	"bytes"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// The toy world of the tests: real names in few lineages, so that every way in
// which two taxa can lie to one another is there.
var lineages = map[string]refs.Lineage{
	"Russula":   {Kingdom: "Fungi", Phylum: "Basidiomycota", Class: "Agaricomycetes", Order: "Russulales", Family: "Russulaceae", Genus: "Russula"},
	"Lactarius": {Kingdom: "Fungi", Phylum: "Basidiomycota", Class: "Agaricomycetes", Order: "Russulales", Family: "Russulaceae", Genus: "Lactarius"},
	"Amanita":   {Kingdom: "Fungi", Phylum: "Basidiomycota", Class: "Agaricomycetes", Order: "Agaricales", Family: "Amanitaceae", Genus: "Amanita"},
	"Penicillium": {Kingdom: "Fungi", Phylum: "Ascomycota", Class: "Eurotiomycetes", Order: "Eurotiales",
		Family: "Aspergillaceae", Genus: "Penicillium"},
	"Trichoderma": {Kingdom: "Fungi", Phylum: "Ascomycota", Class: "Sordariomycetes", Order: "Hypocreales", Family: "Hypocreaceae", Genus: "Trichoderma"},
	"Hypomyces":   {Kingdom: "Fungi", Phylum: "Ascomycota", Class: "Sordariomycetes", Order: "Hypocreales", Family: "Hypocreaceae", Genus: "Hypomyces"},
	"Asterophora": {Kingdom: "Fungi", Phylum: "Basidiomycota", Class: "Agaricomycetes", Order: "Agaricales", Family: "Lyophyllaceae", Genus: "Asterophora"},
	"Pinus":       {Kingdom: "Plantae", Phylum: "Tracheophyta", Class: "Pinopsida", Order: "Pinales", Family: "Pinaceae", Genus: "Pinus"},
	"Physarum":    {Kingdom: "Protozoa", Phylum: "Amoebozoa", Class: "Myxogastrea", Order: "Physarales", Family: "Physaraceae", Genus: "Physarum"},
	"Stereum":     {Kingdom: "Fungi", Phylum: "Basidiomycota", Class: "Agaricomycetes", Order: "Russulales", Family: "Stereaceae", Genus: "Stereum"},
	"Tremella":    {Kingdom: "Fungi", Phylum: "Basidiomycota", Class: "Tremellomycetes", Order: "Tremellales", Family: "Tremellaceae", Genus: "Tremella"},
	"Peziza":      {Kingdom: "Fungi", Phylum: "Ascomycota", Class: "Pezizomycetes", Order: "Pezizales", Family: "Pezizaceae", Genus: "Peziza"},
	// Orphanus is a genus (invented) whose place nobody gave.
	"Orphanus": {Genus: "Orphanus"},
	// Mucedo is a mould (invented) whose place nobody gave.
	"Mucedo": {Genus: "Mucedo"},
}

var habits = map[string]refs.Habit{
	"Russula": refs.Mushroom, "Lactarius": refs.Mushroom, "Amanita": refs.Mushroom, "Penicillium": refs.Mould, "Mucedo": refs.Mould,
	"Trichoderma": refs.Fungicolous, "Hypomyces": refs.Fungicolous, "Asterophora": refs.Fungicolous, "Pinus": refs.Plant, "Physarum": refs.SlimeMould,
}

// place gives rank and lineage of a name of the toy world.
func place(name string) (refs.Rank, refs.Lineage) {
	genus, epithet, _ := strings.Cut(name, " ")
	if l, ok := lineages[genus]; ok {
		if epithet == "" {
			return refs.Genus, l
		}
		l.Species = name
		return refs.Species, l
	}
	for _, l := range lineages {
		for _, r := range refs.Ranks {
			if l.At(r) == name {
				return r, l.Upto(r)
			}
		}
	}
	panic("no such name: " + name)
}

func nameOf(taxon string) refs.Name {
	r, _ := place(taxon)
	n := refs.Name{Verbatim: taxon, Rank: r}
	switch {
	case r >= refs.Genus:
		n.Genus, n.Epithet, _ = strings.Cut(taxon, " ")
	default:
		n.Higher = taxon
	}
	return n
}

func field(taxon string) Field {
	n := nameOf(taxon)
	_, l := place(taxon)
	return Field{Name: n, Lineage: l, Known: true, Habit: habits[n.Genus], Records: 3}
}

func hit(taxon string, identity float64) seqqc.Hit {
	_, l := place(taxon)
	return seqqc.Hit{
		Rank: 1, Reference: "SYN1", Name: nameOf(taxon), Lineage: l, IdentityPct: identity, IdentityStrictPct: identity,
		CoveragePct: 100, Columns: 600, Outside58S: 440, Gate: seqqc.GatePass,
	}
}

var thresholds = map[refs.Rank]float64{
	refs.Kingdom: 80.9, refs.Phylum: 80.9, refs.Class: 80.9, refs.Order: 81.2, refs.Family: 88.5, refs.Genus: 94.3, refs.Species: 99.6,
}

// matched gives the match of two agreeing references of a taxon: every rank
// down to the taxon's own and its threshold is supported.
func matched(taxon string, identity float64) *seqqc.Match {
	rank, l := place(taxon)
	m := &seqqc.Match{Hits: []seqqc.Hit{hit(taxon, identity), hit(taxon, identity)}, InWindow: 2, WindowPct: 0.5}
	m.Hits[1].Reference = "SYN2"
	for _, r := range refs.Ranks {
		v := seqqc.Vote{Rank: r, Threshold: thresholds[r], Taxon: l.At(r), Reached: identity >= thresholds[r]}
		if v.Taxon != "" {
			v.For, v.Of, v.Records = 2, 2, 2
			v.Supported = v.Reached && r <= rank
		}
		if v.Supported {
			m.Supported, m.Taxon = r, v.Taxon
		}
		m.Votes = append(m.Votes, v)
	}
	m.Lineage = l.Upto(m.Supported)
	next := hit("Amanita", identity-10)
	if l.Genus == "Amanita" {
		next = hit("Russula", identity-10)
	}
	m.NextGenus, m.OtherGenera = &next, 1
	return m
}

// offered fills in that the library has the field genus, at an identity.
func offered(m *seqqc.Match, genus string, identity float64) *seqqc.Match {
	h := hit(genus, identity)
	m.Field = seqqc.FieldEvidence{GenusRecords: 3, GenusSpecies: 2, Genus: &h}
	return m
}

func contigOf(n int) *seqqc.Contig {
	return &seqqc.Contig{
		Bases: bytes.Repeat([]byte("ACGTTGCA"), n/8+1)[:n], PredictedErrors: 0.1,
		Region: seqqc.Region{Located: true, ITS1: seqqc.Interval{End: n}},
	}
}

// specimen gives a case of one usable sample.
func specimen(f Field, m *seqqc.Match) Case {
	c := Case{Voucher: "V1", Kind: seqqc.Specimen, Field: f, Chosen: 0,
		Samples: []seqqc.SampleResult{{ReadFiles: []string{"a.ab1"}, Contig: contigOf(600), Match: m}}}
	return habitSet(c)
}

func habitSet(c Case) Case {
	m := c.match()
	if m == nil {
		return c
	}
	c.DNAHabit = habits[m.Lineage.Genus]
	if m.Supported < refs.Genus && m.InWindow > 0 && overgrows(habits[m.Hits[0].Lineage.Genus]) {
		c.DNAHabit = habits[m.Hits[0].Lineage.Genus]
	}
	return c
}

// with changes a copy of the case.
func (c Case) with(change func(*Case)) Case {
	c.Samples = append([]seqqc.SampleResult(nil), c.Samples...)
	change(&c)
	return c
}

// changed changes a match.
func changed(m *seqqc.Match, change func(*seqqc.Match)) *seqqc.Match {
	change(m)
	return m
}

func findings(c Case, rule string) []seqqc.Finding {
	for _, r := range Rules {
		if r.ID == rule {
			return r.Check(c, Defaults())
		}
	}
	panic("no such rule: " + rule)
}
