package verdict

import (
	"fmt"

	"forayseq/refs"
	"forayseq/seqqc"
)

// Case is everything the rules look at for one voucher. It is plain data: a
// test can write one down.
type Case struct {
	Voucher string
	Kind    seqqc.Kind
	Field   Field
	Samples []seqqc.SampleResult
	// Chosen is the index in Samples of the sample the verdict rests on, -1
	// where none has a usable contig.
	Chosen int
	// ReadsOpened counts the reads of all samples that could be opened and hold
	// bases, usable or not; LongestKept is the longest stretch, in bases, that
	// trimming kept of any of them, 0 where nothing was kept.
	ReadsOpened, LongestKept int
	// Unused says of the reads that were not usable why, each reason once; of
	// files that could not be opened too, also where only the name tells that
	// they belong to this voucher.
	Unused []string
	// Alone is true where the other vouchers of its batch are not at hand.
	Alone bool
	// Reads are the reads of all samples, usable or not.
	Reads []*seqqc.Read
	// Observed are the traits that the sheet tells of.
	Observed []seqqc.Observation
	// ReadFlags are the flags of the reads behind the chosen contig.
	ReadFlags []seqqc.Flag
	// SampleIdentityPct is the smallest identity between the usable contigs of
	// two samples, 0 where no two were compared.
	SampleIdentityPct float64
	// DNAHabit is the way of life of the genus the DNA supports; where it
	// supports only a broader taxon, of the window's genera if all of them
	// overgrow other fungi. Empty where it is not known.
	DNAHabit refs.Habit
	// MinorHabit is the same of the chosen sample's minor template.
	MinorHabit refs.Habit
}

// NewCase puts a voucher and its samples together with what the library knows
// of its field name, chooses the sample and compares the samples with one
// another. ReadsOpened, LongestKept, Unused, Reads and ReadFlags are left for the
// caller, who has the reads. The error is that of SampleIdentity, with the
// voucher named.
func NewCase(lib *refs.Library, v seqqc.Voucher, samples []seqqc.SampleResult, p Params) (Case, error) {
	c := Case{
		Voucher:  v.Code,
		Kind:     v.Kind,
		Field:    fieldOf(lib, v.Field),
		Samples:  samples,
		Chosen:   Choose(samples, p),
		Observed: v.Observed,
	}
	var err error
	if c.SampleIdentityPct, err = SampleIdentity(samples, p); err != nil {
		return Case{}, fmt.Errorf("voucher %s: %w", v.Code, err)
	}
	if m := c.match(); m != nil {
		c.DNAHabit = dnaHabit(lib.Taxonomy, m)
	}
	if m := c.minor(); m != nil && named(m.Match) {
		c.MinorHabit = dnaHabit(lib.Taxonomy, m.Match)
	}
	return c, nil
}

// dnaHabit gives the habit of the supported genus or, where only a broader
// taxon is supported, of the first hit of a window full of overgrowing genera.
func dnaHabit(t *refs.Taxonomy, m *seqqc.Match) refs.Habit {
	if m.Supported >= refs.Genus {
		return t.Habit(m.Lineage.Genus)
	}
	var first refs.Habit
	for _, h := range m.Hits[:m.InWindow] {
		if h.Lineage.Genus == "" || h.Doubtful {
			continue
		}
		habit := t.Habit(h.Lineage.Genus)
		if !overgrows(habit) {
			return ""
		}
		if first == "" {
			first = habit
		}
	}
	return first
}

func (c Case) contig() *seqqc.Contig {
	if c.Chosen < 0 || c.Chosen >= len(c.Samples) {
		return nil
	}
	return c.Samples[c.Chosen].Contig
}

func (c Case) match() *seqqc.Match {
	if c.Chosen < 0 || c.Chosen >= len(c.Samples) {
		return nil
	}
	return c.Samples[c.Chosen].Match
}

// minor gives the chosen sample's minor template, nil where none was read.
func (c Case) minor() *seqqc.MinorTemplate {
	if c.Chosen < 0 || c.Chosen >= len(c.Samples) {
		return nil
	}
	return c.Samples[c.Chosen].Minor
}

// dnaTaxon gives D, the deepest taxon that the chosen sample's match supports.
func (c Case) dnaTaxon() taxon {
	m := c.match()
	if m == nil || m.Supported == refs.NoRank || m.Taxon == "" {
		return taxon{}
	}
	return newTaxon(m.Taxon, m.Lineage.Genus, m.Supported, m.Lineage)
}

// best gives the best hit that may support a rank, nil where there is none.
func (c Case) best() *seqqc.Hit {
	if m := c.match(); m != nil && len(m.Hits) > 0 {
		return &m.Hits[0]
	}
	return nil
}

// carrier gives the hit that the supported taxon stands on: its nearest named
// record that reaches the threshold. It is the best hit where no taxon is
// supported.
func (c Case) carrier() *seqqc.Hit {
	m := c.match()
	if m == nil || m.Supported == refs.NoRank {
		return c.best()
	}
	least := c.vote(m.Supported).Threshold
	for i := range m.Hits[:m.InWindow] {
		h := &m.Hits[i]
		if !h.Doubtful && !h.Name.Unnamed && h.Lineage.At(m.Supported) == m.Taxon && h.IdentityPct >= least && h.IdentityStrictPct >= least {
			return h
		}
	}
	return c.best()
}

// vote gives the vote at a rank, the zero Vote where there was none.
func (c Case) vote(r refs.Rank) seqqc.Vote {
	if m := c.match(); m != nil {
		for _, v := range m.Votes {
			if v.Rank == r {
				return v
			}
		}
	}
	return seqqc.Vote{}
}

// windowIsFieldGenus reports whether every hit of the voting window is of the
// field genus.
func (c Case) windowIsFieldGenus() bool {
	m := c.match()
	if m == nil || m.InWindow == 0 || c.Field.Name.Genus == "" {
		return false
	}
	for _, h := range m.Hits[:m.InWindow] {
		if h.Lineage.Genus != c.Field.Name.Genus && !h.Doubtful {
			return false
		}
	}
	return true
}
