package verdict

import (
	"fmt"
	"slices"
	"strings"

	"forayseq/refs"
	"forayseq/seqqc"
)

// minorIsField reports whether the minor template is of the field genus and
// the rest of the DNA is not: the specimen's own DNA may be the weaker one.
func minorIsField(c Case) bool {
	genus := c.Field.Name.Genus
	m := c.minor()
	return genus != "" && m != nil && m.Match != nil && m.Match.Supported >= refs.Genus &&
		m.Match.Lineage.Genus == genus && c.dnaTaxon().lineage.Genus != genus
}

// minorWords says what a second template is, for the middle of a sentence;
// empty where the traces show none.
func minorWords(c Case, p Params) string {
	m := c.minor()
	if m == nil {
		if slices.Contains(flagsOf(c, p), seqqc.MixedTemplate) {
			return "the trace shows a second sequence"
		}
		return ""
	}
	share := fmt.Sprintf("a second sequence, %s %% of the signal,", figure(m.SharePct))
	switch {
	case m.Match == nil || len(m.Match.Hits) == 0:
		return share + " is like nothing in the library that could be compared"
	case !named(m.Match):
		best := &m.Match.Hits[0]
		return fmt.Sprintf("%s is too far from all references to be named (%s %% identical to the nearest, %s)", share, figure(best.IdentityPct), title(best))
	}
	what := ""
	if overgrows(c.MinorHabit) {
		what = ", " + habitWords(c.MinorHabit)
	}
	return fmt.Sprintf("%s is of %s%s (%s %% identical to %s)", share, m.Match.Taxon, what,
		figure(m.Match.Hits[0].IdentityPct), title(&m.Match.Hits[0]))
}

// named reports whether the library puts a name to what was compared.
func named(m *seqqc.Match) bool { return m != nil && m.Supported != refs.NoRank && m.Taxon != "" }

func checkMinor(c Case, p Params) []seqqc.Finding {
	switch {
	case c.minor() == nil:
		return otherStrand(c)
	case !named(c.minor().Match):
		return []seqqc.Finding{{
			Reason:   fmt.Sprintf("More than one sequence is in the trace: %s.", minorWords(c, p)),
			NextStep: "Nothing to do for the name, which rests on the stronger sequence; take cleaner tissue where the specimen is sequenced again.",
		}}
	case minorIsField(c):
		return []seqqc.Finding{{
			Attention: true,
			Reason:    fmt.Sprintf("The field genus is in the trace: %s.", minorWords(c, p)),
			NextStep:  "Extract again from clean tissue inside the specimen: its own DNA seems to be the weaker of the two.",
		}}
	case overgrows(c.MinorHabit) && !overgrows(c.DNAHabit):
		return []seqqc.Finding{{
			Reason:   fmt.Sprintf("Something grew on or in the specimen: %s.", minorWords(c, p)),
			NextStep: "Nothing to do for the name, which rests on the stronger sequence; take cleaner tissue where the specimen is sequenced again.",
		}}
	}
	return []seqqc.Finding{{
		Reason:   fmt.Sprintf("Two organisms are in the trace: %s.", minorWords(c, p)),
		NextStep: "Find out where the second comes from: another specimen in the tube, a neighbour's well, or what the specimen grew with.",
	}}
}

// otherStrand tells of a trace that holds both strands of one DNA: no second
// organism.
func otherStrand(c Case) []seqqc.Finding {
	contig := c.contig()
	if contig == nil || contig.OtherStrandPct == 0 {
		return nil
	}
	return []seqqc.Finding{{
		Reason: fmt.Sprintf("The second sequence in the trace, %s %% of the signal, is the other strand of the same DNA, as left-over PCR primer gives it.",
			figure(contig.OtherStrandPct)),
		NextStep: "Nothing to do for the name; sequence again after cleaning the PCR product, if the read is needed better.",
	}}
}

func checkSecond(c Case, _ Params) []seqqc.Finding {
	contig := c.contig()
	if contig == nil || contig.Second == nil {
		return nil
	}
	text := contig.Second.Text
	return []seqqc.Finding{{
		Reason:   strings.ToUpper(text[:1]) + text[1:] + ".",
		NextStep: "Nothing to do for the name; say in a deposit that the specimen has two copies.",
	}}
}

// copiesWords says how the two copies of a specimen differ in length.
func copiesWords(contig *seqqc.Contig) string {
	if contig == nil || contig.Second == nil {
		return "the specimen has two copies of different length"
	}
	n := 0
	for _, v := range contig.Second.Variants {
		n += len(v.Other) - len(v.Contig)
	}
	switch {
	case n == 0:
		return "each of the specimen's two copies has bases that the other lacks"
	case n < 0:
		n = -n
	}
	return fmt.Sprintf("one of the specimen's two copies has %s more", seqqc.Count(n, "base"))
}
